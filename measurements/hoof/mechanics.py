"""The geometry of a trim or a wedge, and what is published of angle and load.

One model throughout: the ground surface of the foot is a flat, stiff plane of the ground-bearing
length, turned about one end. It holds for small turns of an evenly loaded foot; a real capsule
gives, so the answers are for talking about millimetres, not for promising degrees.
"""

import math

from measurements.hoof.errors import HoofError

# A longer base or larger turn is no foot and no trim. House defaults.
BASE_LENGTH_RANGE_MM = (40.0, 250.0)
LARGEST_TURN_DEG = 15.0

# Force on the navicular bone falls about 4 % for each degree steeper: Eliashar, McGuigan &
# Wilson, Equine Vet J 2004;36:431-435, as quoted by Weller; a 6 deg wedge (from memory) took 24 %
# off, Willemen, Equine Vet J 1999;31:25-30, as quoted. The same 4 %.
NAVICULAR_LOAD_PERCENT_PER_DEG = -4.0
NAVICULAR_LOAD_RANGE_DEG = 6.0  # the largest wedge in those studies
NAVICULAR_LOAD_CAUTION = (
    "About 4 % per degree, from groups of horses with wedges. It is no prediction for one horse."
)

# How far the coffin bone's tip lies behind the toe: 30 mm or less is wanted (Baus, as quoted). The
# nearer to the toe, the more sole a shorter toe takes at the tip. House default: half of it, on the
# safe side.
TIP_BEHIND_TOE_MM = 15.0

# Most angle change at one visit: 3 deg is one practitioner's published limit (no study found);
# 2 deg preferred (from memory).
PREFERRED_CHANGE_PER_VISIT_DEG = 2.0
WARN_CHANGE_PER_VISIT_DEG = 3.0


class OutsideModel(HoofError):
    """The geometry says nothing sensible for such a value."""


def heel_raise_mm(turn_deg: float, base_length_mm: float) -> float:
    """How much the heels must rise (negative: sink) to turn the foot by some degrees, mm.

    `turn_deg` within +/-15, positive makes the angles steeper; `base_length_mm` is the
    ground-bearing length, 40 to 250. length * tan(turn). Raises `OutsideModel`.
    """
    return _base(base_length_mm) * math.tan(math.radians(_turn(turn_deg)))


def sole_taken_mm(turn_deg: float, base_length_mm: float) -> float:
    """How much sole a turn takes at the tip of the coffin bone when it is trimmed, mm >= 0.

    The plane turns about the end that is left alone. Steeper (`turn_deg` > 0) by height off the
    toe: (length - tip) * tan(turn), nearly the whole height. Flatter by height off the heels:
    tip * tan(turn). A wedge or a raised heel takes none. Limits: the sole is taken to follow the
    plane, as a foot trimmed to level does. Arguments and errors as `heel_raise_mm`.
    """
    slope = abs(heel_raise_mm(turn_deg, base_length_mm)) / base_length_mm
    arm = base_length_mm - TIP_BEHIND_TOE_MM if turn_deg > 0 else TIP_BEHIND_TOE_MM
    return arm * slope


def turn_from_heel_raise_deg(raise_mm: float, base_length_mm: float) -> float:
    """The turn (deg, positive steeper) that a heel raise (mm, negative sinks) makes.

    The other way round of `heel_raise_mm`. Raises `OutsideModel` when it is over 15 deg.
    """
    return _turn(math.degrees(math.atan(_number(raise_mm) / _base(base_length_mm))))


def height_along_wall_mm(wall_length_mm: float, wall_angle_deg: float) -> float:
    """The height above the ground of a stretch of wall (mm >= 0) at an angle of 0-90 deg."""
    if not 0 < wall_angle_deg <= 90:
        raise OutsideModel("The angle of a wall is between 0 and 90°.")
    return _removed(wall_length_mm) * math.sin(math.radians(wall_angle_deg))


def navicular_load_change_percent(turn_deg: float) -> float:
    """About how the peak load on the navicular bone changes with a turn of the foot, %.

    `turn_deg` within +/-6, positive steeper (then the answer is negative: less load). Source
    beside the constant; always show `NAVICULAR_LOAD_CAUTION` with it. Raises `OutsideModel`.
    """
    if not abs(turn_deg) <= NAVICULAR_LOAD_RANGE_DEG:
        raise OutsideModel("The published figures go up to 6° of change.")
    return NAVICULAR_LOAD_PERCENT_PER_DEG * turn_deg + 0.0


def _number(value: float) -> float:
    if not math.isfinite(value):
        raise OutsideModel("This needs a real number.")
    return value


def _base(length_mm: float) -> float:
    low, high = BASE_LENGTH_RANGE_MM
    if not low <= length_mm <= high:
        raise OutsideModel("The ground-bearing length of a foot is between 40 and 250 mm.")
    return length_mm


def _turn(degrees: float) -> float:
    if not abs(degrees) <= LARGEST_TURN_DEG:
        raise OutsideModel("A turn of more than 15° is no trim.")
    return degrees


def _removed(length_mm: float) -> float:
    if not 0 <= length_mm < math.inf:
        raise OutsideModel("A length of horn is zero or more.")
    return length_mm
