"""How a foot points over a foal's days, as lines and marks of an SVG. Pure.

Across: days; up: toes out, down: toes in, straight in the middle. The days until which to act on a
joint stand as upright lines.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

WIDTH, HEIGHT = 360, 160
LEFT, RIGHT, TOP, BOTTOM = 78, 14, 20, 30
DOT = 4
STEPS = (-2, -1, 0, 1, 2)
STEP_WORDS = {2: "out, clear", 1: "out", 0: "straight", -1: "in", -2: "in, clear"}


@dataclass(frozen=True)
class Seen:
    on: date
    stance: int
    words: str
    who: str


@dataclass(frozen=True)
class ToeText:
    x: float
    y: float
    text: str
    anchor: str = "middle"


@dataclass(frozen=True)
class Canvas:
    """The size, as the template of every chart takes it; `text` is that of the writing."""

    name: str = "stance"
    width: int = WIDTH
    height: int = HEIGHT
    text: int = 16  # at the width of a phone 13 px are left of it
    is_small: bool = True


@dataclass(frozen=True)
class StanceChart:
    """What the template of every chart writes out; marks that it lacks are left out."""

    foot: str
    id: str
    title: str
    desc: str
    seen: tuple[Seen, ...]
    grid: str  # the level lines
    frame: str  # the middle: straight
    level: str  # from look to look
    after: str  # a dot a look
    uprights: str  # the days until which to act on a joint
    value_labels: tuple[ToeText, ...]
    size: Canvas = Canvas()


def stance_chart(
    foot: str, label: str, seen: Sequence[Seen], windows: Iterable[tuple[str, date]], start: date
) -> StanceChart:
    """One foot's chart from `start` to a little after the last look."""
    end = max([one.on for one in seen] + [date.fromordinal(start.toordinal() + 90)])
    span = (end - start).days + 7

    def x(day: date) -> float:
        return round(LEFT + (WIDTH - LEFT - RIGHT) * (day - start).days / span, 1)

    def y(stance: float) -> float:
        return round(TOP + (HEIGHT - TOP - BOTTOM) * (2 - stance) / 4, 1)

    right = WIDTH - RIGHT
    inside = [(name, on) for name, on in windows if start <= on and (on - start).days <= span]
    points = [(x(one.on), y(one.stance)) for one in seen]
    return StanceChart(
        foot=foot,
        id=f"st-{foot}",
        title=f"How the {label} points over time",
        desc=f"{label}: " + "; ".join(f"{_day(one.on)} {one.words}" for one in seen),
        seen=tuple(reversed(seen)),
        grid=" ".join(f"M{LEFT} {y(s)}H{right}" for s in STEPS if s),
        frame=f"M{LEFT} {y(0)}H{right}",
        level="M" + "L".join(f"{px} {py}" for px, py in points) if points else "",
        after="".join(_dot(px, py) for px, py in points),
        uprights=" ".join(f"M{x(on)} {TOP}V{HEIGHT - BOTTOM}" for _, on in inside),
        value_labels=(
            *(ToeText(LEFT - 6, y(s) + 5, STEP_WORDS[s], "end") for s in STEPS),
            *(ToeText(x(on), TOP - 5, name) for name, on in inside),
            ToeText(x(start), HEIGHT - 8, _day(start), "start"),
            ToeText(x(end), HEIGHT - 8, _day(end), "end"),
        ),
    )


def _dot(x: float, y: float) -> str:
    return f"M{x - DOT:g} {y:g}a{DOT} {DOT} 0 1 0 {2 * DOT} 0a{DOT} {DOT} 0 1 0 {-2 * DOT} 0z"


def _day(day: date) -> str:
    return f"{day:%-d %b %Y}"
