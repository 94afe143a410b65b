"""A foot seen from the side, drawn from its own numbers: points in mm, x to the heel, y up.

The toe stands at the origin and points left. What was measured is exact in the drawing: the angles
of the drawn lines are the readings. What was not measured is marked as assumed and never printed as
a number. The pastern's back is soft: it is there so that the eye finds the leg.
"""

from dataclasses import dataclass
from math import cos, radians, sin, tan

# Slope of the hairline from toe to heel, where the ground length was not measured. A guess: 20 to
# 28 degrees move the heel of a common foot by some 34 mm. House default, no source.
HAIRLINE_SLOPE_DEG = 24.0
# A heel's length where it was not measured, as a share of the toe's. House default: between the
# common 3:1 of the trade for the vertical heights and the 2:1 of upright feet.
HEEL_OF_TOE = 0.43
PASTERN_MM = 80.0  # as much of the pastern as is drawn. House default.
PASTERN_DEEP_MM = 50.0  # how thick the pastern is drawn. House default.
SHOE_MM = 9.0  # how thick a shoe is drawn. House default; common shoes are 8 to 10 mm.
LEAST_GROUND_MM = 60.0  # a shorter ground line comes of numbers that contradict. Our guess.


@dataclass(frozen=True)
class Point:
    """A place in the drawing, in mm."""

    x_mm: float
    y_mm: float

    def moved(self, dx_mm: float) -> "Point":
        return Point(self.x_mm + dx_mm, self.y_mm)


@dataclass(frozen=True)
class SideNumbers:
    """What is known of a foot from the side at one moment; `None` was not measured."""

    toe_angle_deg: float
    toe_length_mm: float
    heel_angle_deg: float | None = None
    heel_length_mm: float | None = None
    ground_length_mm: float | None = None
    pastern_angle_deg: float | None = None
    is_shod: bool = False


@dataclass(frozen=True)
class Outline:
    """The points of one foot. Without a heel only the toe's line can be drawn.

    `heel_assumed`: where the heel stands follows from the assumed hairline, not from a reading.
    `heel_length_assumed`: so does how long the heel's wall is.
    """

    toe: Point
    hairline: Point
    heel: Point | None
    heel_top: Point | None
    pastern: Point | None
    pastern_back: Point | None
    back_handles: tuple[Point, Point] | None
    is_shod: bool
    heel_assumed: bool
    heel_length_assumed: bool

    @property
    def ground_mm(self) -> float:
        """The height of the ground: under the shoe, where there is one."""
        return -SHOE_MM if self.is_shod and self.heel is not None else 0.0

    @property
    def is_whole(self) -> bool:
        return self.heel is not None

    def moved(self, dx_mm: float) -> "Outline":
        def at(point: Point | None) -> Point | None:
            return point and point.moved(dx_mm)

        handles = self.back_handles
        return Outline(
            toe=self.toe.moved(dx_mm),
            hairline=self.hairline.moved(dx_mm),
            heel=at(self.heel),
            heel_top=at(self.heel_top),
            pastern=at(self.pastern),
            pastern_back=at(self.pastern_back),
            back_handles=handles and (handles[0].moved(dx_mm), handles[1].moved(dx_mm)),
            is_shod=self.is_shod,
            heel_assumed=self.heel_assumed,
            heel_length_assumed=self.heel_length_assumed,
        )


@dataclass(frozen=True)
class Fan:
    """The aim: between these two places on the ground the toe's wall would end, from `apex`."""

    apex: Point
    steep_foot: Point
    flat_foot: Point


def side_outline(numbers: SideNumbers, *, pastern_mm: float = PASTERN_MM) -> Outline:
    """The foot's points, with so much of the pastern as is to be drawn (over 0).

    Raises ValueError for numbers that no foot can have.
    """
    _check(numbers)
    hairline = _along(Point(0.0, 0.0), numbers.toe_length_mm, numbers.toe_angle_deg)
    heel, heel_top = _heel(numbers, hairline)
    pastern = back = handles = None
    if numbers.pastern_angle_deg is not None:
        slope = numbers.pastern_angle_deg
        pastern = _along(hairline, pastern_mm, slope)
        back = _along(pastern, PASTERN_DEEP_MM, slope - 90.0)
        if heel_top is not None:
            back_mm = 44.0 * pastern_mm / PASTERN_MM
            handles = (_along(back, back_mm, slope + 180.0), _along(heel_top, 30.0, 90.0))
    return Outline(
        toe=Point(0.0, 0.0),
        hairline=hairline,
        heel=heel,
        heel_top=heel_top,
        pastern=pastern,
        pastern_back=back,
        back_handles=handles,
        is_shod=numbers.is_shod,
        heel_assumed=numbers.ground_length_mm is None,
        heel_length_assumed=numbers.heel_length_mm is None,
    )


def laid_over(now: Outline, then: Outline) -> Outline:
    """`then` on the ground of `now`, its hairline at the toe over that of `now`."""
    return then.moved(now.hairline.x_mm - then.hairline.x_mm)


def toe_further_out_mm(now: SideNumbers, then: SideNumbers) -> float:
    """How much further in front of the hairline the toe stands now than then; less than 0: nearer."""
    return _reach_mm(now) - _reach_mm(then)


def aim_fan(now: Outline, low_deg: float, high_deg: float) -> Fan:
    """The band of the toe angle from today's hairline down to the ground.

    Raises ValueError where the band is empty or lies outside 0 to 90 degrees.
    """
    if not 0.0 < low_deg <= high_deg < 90.0:
        raise ValueError(f"no band of a toe angle: {low_deg} to {high_deg}")
    top = now.hairline
    flat, steep = (
        Point(top.x_mm - top.y_mm / tan(radians(angle)), 0.0) for angle in (low_deg, high_deg)
    )
    return Fan(top, steep_foot=steep, flat_foot=flat)


def break_deg(numbers: SideNumbers) -> float | None:
    """Hoof less pastern: under 0 the line from pastern to toe is broken back, over 0 forward."""
    if numbers.pastern_angle_deg is None:
        return None
    return numbers.toe_angle_deg - numbers.pastern_angle_deg


def _heel(numbers: SideNumbers, hairline: Point) -> tuple[Point | None, Point | None]:
    if numbers.heel_angle_deg is None:
        return None, None
    length_mm = numbers.heel_length_mm
    if length_mm is None:
        length_mm = HEEL_OF_TOE * numbers.toe_length_mm
    rise = _along(Point(0.0, 0.0), length_mm, numbers.heel_angle_deg)
    ground_mm = numbers.ground_length_mm
    if ground_mm is None:
        drop_mm = hairline.y_mm - rise.y_mm
        ground_mm = hairline.x_mm + drop_mm / tan(radians(HAIRLINE_SLOPE_DEG)) - rise.x_mm
    if rise.y_mm > hairline.y_mm or ground_mm < LEAST_GROUND_MM:
        return None, None  # the numbers contradict: the toe's line alone says nothing untrue
    heel = Point(ground_mm, 0.0)
    return heel, Point(heel.x_mm + rise.x_mm, rise.y_mm)


def _along(start: Point, length_mm: float, angle_deg: float) -> Point:
    angle = radians(angle_deg)
    return Point(start.x_mm + length_mm * cos(angle), start.y_mm + length_mm * sin(angle))


def _reach_mm(numbers: SideNumbers) -> float:
    return numbers.toe_length_mm * cos(radians(numbers.toe_angle_deg))


def _check(numbers: SideNumbers) -> None:
    angles = (numbers.toe_angle_deg, numbers.heel_angle_deg, numbers.pastern_angle_deg)
    lengths = (numbers.toe_length_mm, numbers.heel_length_mm, numbers.ground_length_mm)
    if any(angle is not None and not 0.0 < angle < 90.0 for angle in angles):
        raise ValueError(f"no angles of a foot: {angles}")
    if any(length is not None and not length > 0.0 for length in lengths):
        raise ValueError(f"no lengths of a foot: {lengths}")
