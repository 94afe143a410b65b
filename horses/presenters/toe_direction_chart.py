"""How a foot points over a foal's days, as lines and marks of an SVG. Pure.

Across: days; up: toes out, down: toes in, straight in the middle. The days until which to act on a
joint stand as upright lines.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

WIDTH, HEIGHT = 360, 150
LEFT, RIGHT, TOP, BOTTOM = 62, 14, 14, 26
STEPS = (-2, -1, 0, 1, 2)
STEP_WORDS = {2: "out, clear", 1: "out", 0: "straight", -1: "in", -2: "in, clear"}


@dataclass(frozen=True)
class Seen:
    on: date
    stance: int
    words: str
    who: str


@dataclass(frozen=True)
class ToeMark:
    x: float
    y: float
    text: str = ""


@dataclass(frozen=True)
class StanceChart:
    foot: str
    desc: str
    seen: tuple[Seen, ...]
    grid: str  # the level lines
    middle: str
    line: str
    marks: tuple[ToeMark, ...]
    windows: tuple[ToeMark, ...]
    window_lines: str
    steps: tuple[ToeMark, ...]
    dates: tuple[ToeMark, ...]
    width: int = WIDTH
    height: int = HEIGHT


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
        desc=f"{label}: " + "; ".join(f"{_day(one.on)} {one.words}" for one in seen),
        seen=tuple(reversed(seen)),
        grid=" ".join(f"M{LEFT} {y(s)}H{right}" for s in STEPS if s),
        middle=f"M{LEFT} {y(0)}H{right}",
        line="M" + "L".join(f"{px} {py}" for px, py in points) if points else "",
        marks=tuple(ToeMark(px, py) for px, py in points),
        windows=tuple(ToeMark(x(on), TOP - 3, name) for name, on in inside),
        window_lines=" ".join(f"M{x(on)} {TOP}V{HEIGHT - BOTTOM}" for _, on in inside),
        steps=tuple(ToeMark(LEFT - 6, y(s) + 4, STEP_WORDS[s]) for s in STEPS),
        dates=tuple(ToeMark(x(day), HEIGHT - 8, _day(day)) for day in dict.fromkeys((start, end))),
    )


def _day(day: date) -> str:
    return f"{day:%-d %b %Y}"
