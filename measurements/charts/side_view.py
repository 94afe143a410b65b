"""Lays a foot's outline out as SVG: millimetres of the foot are units of the drawing. Pure.

The toe points left; a right foot is mirrored, so that two feet of a pair compare, and that is said.
"""

from dataclasses import dataclass
from math import hypot

from measurements.charts.paths import rounded
from measurements.hoof.outline import SHOE_MM, Fan, Outline, Point

MARGIN_MM = 14.0
LABEL_MM = 26.0  # room at the toe for the words of the aim
LINE_MM = 3.0  # room for half a line where nothing is written round it
HATCH_LINES = 6


@dataclass(frozen=True)
class Words:
    """One label at a place of the drawing."""

    x: str
    y: str
    text: str
    anchor: str = "middle"


@dataclass(frozen=True)
class SideDrawn:
    """What the template writes out; an empty path is left out."""

    id: str
    view_box: str
    width: int
    height: int
    title: str
    desc: str
    ground: str
    hoof: str
    wall: str
    heel: str
    hairline: str
    hairline_assumed: bool
    pastern: str
    leg: str
    shoe: str
    then: str
    aim: str
    carried_on: str
    labels: tuple[Words, ...]


@dataclass(frozen=True)
class SideWords:
    """What is written: at the toe's corner, along its wall, at the heel; and for who hears it."""

    toe_angle: str
    toe_length: str
    heel_angle: str
    title: str
    desc: str


def draw_side(
    key: str,
    now: Outline,
    then: Outline | None,
    aim: Fan | None,
    words: SideWords,
    *,
    plain: bool = False,
) -> SideDrawn:
    """`then` is laid over `now` already; `aim` spreads from the hairline of `now`.

    `plain`: without numbers, where they stand beside it, and without the room for them.
    """
    box = _Box.round_(now, then, aim, plain=plain)
    return SideDrawn(
        id=f"side-{key}".lower(),
        view_box=box.view_box,
        width=round(box.width_mm * 2),
        height=round(box.height_mm * 2),
        title=words.title,
        desc=words.desc,
        ground=f"M{rounded(box.left)} {_y(now.ground_mm)}H{rounded(box.right)}",
        hoof=_hoof(now),
        wall=_line(now.toe, now.hairline),
        heel=_line(now.heel, now.heel_top) if now.heel else "",
        hairline=_line(now.hairline, now.heel_top),
        hairline_assumed=now.heel_assumed,
        pastern=_line(now.hairline, now.pastern),
        leg=_leg(now),
        shoe=_shoe(now),
        then=_then(then),
        aim=_hatch(aim),
        carried_on=_carried_on(now),
        labels=() if plain else _labels(now, words),
    )


@dataclass(frozen=True)
class _Box:
    left: float
    right: float
    top: float
    bottom: float

    @classmethod
    def round_(cls, now: Outline, then: Outline | None, aim: Fan | None, *, plain: bool) -> "_Box":
        points = [*_points(now), *(_hoof_points(then) if then else [])]
        points += [aim.flat_foot, aim.steep_foot] if aim else []
        xs, ys = [p.x_mm for p in points], [p.y_mm for p in points]
        left, margin = (LINE_MM, LINE_MM) if plain else (LABEL_MM, MARGIN_MM)
        return cls(min(xs) - left, max(xs) + margin, max(ys) + margin, now.ground_mm - margin)

    @property
    def width_mm(self) -> float:
        return self.right - self.left

    @property
    def height_mm(self) -> float:
        return self.top - self.bottom

    @property
    def view_box(self) -> str:
        sizes = (self.left, -self.top, self.width_mm, self.height_mm)
        return " ".join(rounded(size) for size in sizes)


def _points(foot: Outline) -> list[Point]:
    leg = (foot.pastern, foot.pastern_back)
    return [*_hoof_points(foot), *(point for point in leg if point is not None)]


def _hoof_points(foot: Outline) -> list[Point]:
    every = (foot.toe, foot.hairline, foot.heel, foot.heel_top)
    return [point for point in every if point is not None]


def _y(y_mm: float) -> str:
    return rounded(-y_mm + 0.0)


def _at(point: Point) -> str:
    return f"{rounded(point.x_mm)} {_y(point.y_mm)}"


def _line(start: Point, end: Point | None) -> str:
    return f"M{_at(start)}L{_at(end)}" if end is not None else ""


def _hoof(foot: Outline) -> str:
    if foot.heel is None or foot.heel_top is None:
        return ""
    return f"M{_at(foot.toe)}L{_at(foot.hairline)}L{_at(foot.heel_top)}L{_at(foot.heel)}z"


def _leg(foot: Outline) -> str:
    """The pastern with its soft back: from the hairline up, over and down to the heel."""
    if foot.pastern is None or foot.pastern_back is None or foot.back_handles is None:
        return ""
    assert foot.heel_top is not None  # handles need it
    first, last = foot.back_handles
    return (
        f"M{_at(foot.hairline)}L{_at(foot.pastern)}L{_at(foot.pastern_back)}"
        f"C{_at(first)} {_at(last)} {_at(foot.heel_top)}z"
    )


def _shoe(foot: Outline) -> str:
    if not foot.is_shod or foot.heel is None:
        return ""
    low = -SHOE_MM
    front, back = foot.toe.x_mm - 1.0, foot.heel.x_mm + 4.0
    return f"M{rounded(front)} {_y(0)}H{rounded(back)}V{_y(low)}H{rounded(front + 4.0)}z"


def _then(foot: Outline | None) -> str:
    if foot is None:
        return ""
    wall = _line(foot.toe, foot.hairline)
    if foot.heel is None or foot.heel_top is None:
        return wall
    return f"{wall}M{_at(foot.heel)}L{_at(foot.heel_top)}"


def _hatch(fan: Fan | None) -> str:
    """The aim as lines that spread from the hairline, the two edges among them."""
    if fan is None:
        return ""
    first, last = fan.flat_foot.x_mm, fan.steep_foot.x_mm
    steps = [first + (last - first) * n / HATCH_LINES for n in range(HATCH_LINES + 1)]
    return "".join(f"M{_at(fan.apex)}L{rounded(x)} {_y(0)}" for x in steps)


def _carried_on(foot: Outline) -> str:
    """The toe's line beyond the hairline: the gap to the pastern is the break."""
    if foot.pastern is None:
        return ""
    top, toe = foot.hairline, foot.toe
    reach = 0.875 * _apart(top, foot.pastern) / _apart(top, toe)  # a little short of the pastern
    end = Point(top.x_mm + (top.x_mm - toe.x_mm) * reach, top.y_mm + (top.y_mm - toe.y_mm) * reach)
    return _line(top, end)


def _apart(one: Point, other: Point) -> float:
    return hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm)


def _labels(foot: Outline, words: SideWords) -> tuple[Words, ...]:
    middle = Point(foot.hairline.x_mm / 2 - 5, foot.hairline.y_mm / 2 + 4)
    found = [
        Words(rounded(foot.toe.x_mm + 22), _y(3.5), words.toe_angle, "start"),
        Words(rounded(middle.x_mm), _y(middle.y_mm), words.toe_length, "end"),
    ]
    if foot.heel is not None and words.heel_angle:
        found.append(Words(rounded(foot.heel.x_mm - 6), _y(3.5), words.heel_angle, "end"))
    return tuple(found)
