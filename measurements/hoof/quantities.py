"""What is measured on a foot: names, units, believable ranges and measuring errors.

Angles are degrees to the ground as seen from the side, lengths millimetres. A value outside the
plausible range asks for a confirmation; outside the possible range it is refused.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from measurements.hoof.errors import HoofError
from measurements.hoof.feet import Foot, is_fore

BaseUnit = Literal["deg", "mm", "kg"]

Z_95_TWO_SIDED = 1.96  # standard normal, as rounded in the published formulae


class Method(StrEnum):
    """How a value was got. Methods are not interchangeable for angles (JEVS 2023;121:104195)."""

    GAUGE = "gauge"
    TAPE = "tape"
    PHOTO = "photo"
    PHOTO_CARD = "photo_card"
    FILM = "film"
    RADIOGRAPH = "radiograph"
    OWNER = "owner"

    @property
    def label(self) -> str:
        """The method in words for the screen."""
        return _METHOD_LABELS[self]


_METHOD_LABELS = {
    Method.GAUGE: "hoof gauge",
    Method.TAPE: "tape or caliper",
    Method.PHOTO: "photo",
    Method.PHOTO_CARD: "photo with card",
    Method.FILM: "film, by points",
    Method.RADIOGRAPH: "radiograph",
    Method.OWNER: "owner's own measuring",
}


# Reckoned from points on a picture: such a reading comes with its own error, and nobody types one. A value
# that somebody read off a photograph in another way is typed as by photo or radiograph.
BY_POINTS = frozenset({Method.PHOTO_CARD, Method.FILM})


class TrimState(StrEnum):
    """When in the cycle a reading was taken."""

    BEFORE = "before"
    AFTER = "after"
    BETWEEN = "between"

    @property
    def label(self) -> str:
        """The state in words for the screen."""
        return "between visits" if self is TrimState.BETWEEN else f"{self.value} the trim"


class Moment(StrEnum):
    """The moment a target band holds for.

    Two values are those of the trim state whose readings the band is compared with: a band for
    the end of the cycle is compared with readings taken before the trim. One for any time is
    compared with the newest readings, whenever in the cycle they were taken.
    """

    AFTER_TRIM = "after"
    END_OF_CYCLE = "before"
    ANY_TIME = "any"

    @property
    def label(self) -> str:
        """The moment in words for the screen."""
        return _MOMENT_LABELS[self]


_MOMENT_LABELS = {
    Moment.AFTER_TRIM: "just after the trim",
    Moment.END_OF_CYCLE: "at the end of the cycle",
    Moment.ANY_TIME: "at any time",
}


class Shoeing(StrEnum):
    """What a foot wears. A change of it starts a new baseline."""

    BAREFOOT = "barefoot"
    SHOD = "shod"
    SHOD_WEDGE = "shod_wedge"

    @property
    def label(self) -> str:
        """The state in words for the screen."""
        return "shod with wedge or pad" if self is Shoeing.SHOD_WEDGE else self.value


class MethodDoesNotFit(HoofError):
    """The quantity cannot be measured this way (sole depth with a gauge)."""


class RangeCheck(StrEnum):
    """What to do with a value by its size alone."""

    FINE = "fine"
    CONFIRM = "confirm"
    REFUSE = "refuse"


@dataclass(frozen=True)
class Quantity:
    """One measurable quantity.

    `unit` is the base unit of every number here. `decimals` are those worth showing in the base
    unit. `error_sd` maps each fitting method to the SD of one reading against the same reading by
    another careful person. `growth_direction` is the sign of the change inside a shod cycle
    (-1 falls, +1 rises, 0 no clear direction).
    """

    key: str
    label: str
    short_label: str
    unit: BaseUnit
    decimals: int
    plausible_low: float
    plausible_high: float
    possible_low: float
    possible_high: float
    error_sd: Mapping[Method, float] = field(hash=False)
    growth_direction: Literal[-1, 0, 1]
    feet: frozenset[Foot] = frozenset(Foot)

    @property
    def methods(self) -> tuple[Method, ...]:
        """The methods that fit, in the order they are offered."""
        return tuple(self.error_sd)

    @property
    def typed_methods(self) -> tuple[Method, ...]:
        """Those of them that a person may say of a value they type."""
        return tuple(method for method in self.methods if method not in BY_POINTS)

    @property
    def is_angle(self) -> bool:
        """Whether the quantity is an angle in degrees."""
        return self.unit == "deg"

    @property
    def is_filmed(self) -> bool:
        """Whether only a radiograph shows it: then it is seen when a vet comes, not at the trim."""
        return set(self.methods) <= {Method.RADIOGRAPH, Method.FILM}

    def label_on(self, foot: Foot) -> str:
        """The name as used on this foot (palmar in front, plantar behind)."""
        return self.label if is_fore(foot) else self.label.replace("palmar", "plantar")


# Error of one toe or heel angle reading, deg. Planning values between persons: gauge 1-1.5,
# photo 1-2 (from memory). Best case for comparison: one trained operator on one day,
# repeatability coefficient 0.31-0.37 deg (Peel, Equine Vet J Suppl 2006;36:431-434), an SD near
# 0.12. Photo 2.0: photographs were the worst of six methods for angles (JEVS 2023;121:104195), and
# without a card our simulated cameras (tests/bench/pictures) are 1.8 to 2.1 off, of the heel 1.6 to
# 1.9. Owner 1.5: house default, as careless gauge use. Radiograph 1.0: house default, the foot's
# position varies. Photo with card 1.0 (heel 1.2): the same cameras, rounded up; what is reckoned
# from points comes with its own error in its place. No real photographs of feet with a card were
# available.
_TOE_ANGLE_ERROR_DEG: dict[Method, float] = {
    Method.GAUGE: 1.0,
    Method.PHOTO: 2.0,
    Method.PHOTO_CARD: 1.0,
    Method.RADIOGRAPH: 1.0,
    Method.OWNER: 1.5,
}
_HEEL_ANGLE_ERROR_DEG = _TOE_ANGLE_ERROR_DEG | {Method.PHOTO_CARD: 1.2}
# The pastern's skin line moves with the stance: the upper planning values (from memory).
_PASTERN_ANGLE_ERROR_DEG: dict[Method, float] = {
    Method.GAUGE: 1.5,
    Method.PHOTO: 2.0,
    Method.PHOTO_CARD: 1.5,
    Method.RADIOGRAPH: 1.5,
    Method.OWNER: 2.0,
}
# Error of one length reading, mm. Tape or caliper 1-3 between persons (from memory), the middle
# taken. Photo 3: a scale marker 2 % nearer than the hoof misreads by 2 % (geometry) plus the
# pointing error. Radiographs over-read lengths (JEVS 2023;121:104195). Gauge: some have a ruler at
# the toe, taken as a tape (from memory). Owner 3: the upper planning value (from memory). Photo with
# card: as above for angles.
_TOE_LENGTH_ERROR_MM: dict[Method, float] = {
    Method.TAPE: 2.0,
    Method.GAUGE: 2.0,
    Method.PHOTO: 3.0,
    Method.PHOTO_CARD: 1.2,
    Method.RADIOGRAPH: 2.0,
    Method.OWNER: 3.0,
}
_HEEL_LENGTH_ERROR_MM: dict[Method, float] = {
    Method.TAPE: 2.0,
    Method.GAUGE: 2.0,
    Method.PHOTO: 3.0,
    Method.PHOTO_CARD: 1.2,
    Method.OWNER: 3.0,
}
# On the sole with a card: not simulated; house default, between the two.
_GROUND_LENGTH_ERROR_MM: dict[Method, float] = {
    Method.TAPE: 2.0,
    Method.PHOTO: 3.0,
    Method.PHOTO_CARD: 2.0,
    Method.OWNER: 3.0,
}
# Tape round the coronet: +/-2 mm (JEVS 2022;115:104028), the same hands the same day 1.8 mm
# repeatability coefficient (Decurnex, Equine Vet J 2009). Owner: house default, twice that.
_CIRCUMFERENCE_ERROR_MM: dict[Method, float] = {Method.TAPE: 2.0, Method.OWNER: 4.0}
# Radiograph readings by two people, also from points placed on the film: house default.
_PALMAR_ANGLE_ERROR_DEG: dict[Method, float] = {Method.RADIOGRAPH: 1.0, Method.FILM: 1.0}
_SOLE_DEPTH_ERROR_MM: dict[Method, float] = {Method.RADIOGRAPH: 1.0, Method.FILM: 1.0}
# A weight tape may be up to 100 lb (45 kg) off (lay source); read as two SD.
_WEIGHT_ERROR_KG: dict[Method, float] = {Method.TAPE: 22.7, Method.OWNER: 22.7}


# Ranges: house defaults. The plausible ones hold about all adult horses from pony to draught
# (means and SDs such as toe angle 49.1 +/- 5.1, Schade, Cienc Rural 2013;43:456-461, and toe
# length 92.1 +/- 9.3 mm, Braz J Vet Med article 421); the possible ones also hold foals and
# severe deformity, and refuse slips such as a lost decimal point.
def _angle(
    key: str,
    label: str,
    plausible: tuple[float, float],
    possible: tuple[float, float],
    error_sd: Mapping[Method, float],
    growth_direction: Literal[-1, 0, 1],
) -> Quantity:
    short_label = label.removesuffix(" angle")
    return Quantity(
        key, label, short_label, "deg", 1, *plausible, *possible, error_sd, growth_direction
    )


def _length(
    key: str,
    label: str,
    plausible: tuple[float, float],
    possible: tuple[float, float],
    error_sd: Mapping[Method, float],
    growth_direction: Literal[-1, 0, 1],
) -> Quantity:
    short_label = label.removesuffix(" circumference").removesuffix(" depth")
    return Quantity(
        key, label, short_label, "mm", 0, *plausible, *possible, error_sd, growth_direction
    )


# key, label, plausible range, possible range, error by method, direction of growth when shod
_ALL = (
    _angle("toe_angle", "toe angle", (38, 68), (20, 100), _TOE_ANGLE_ERROR_DEG, -1),
    _angle("heel_angle", "heel angle", (25, 68), (5, 100), _HEEL_ANGLE_ERROR_DEG, -1),
    _angle("pastern_angle", "pastern angle", (35, 70), (15, 100), _PASTERN_ANGLE_ERROR_DEG, 0),
    _length("toe_length", "toe length", (45, 125), (20, 250), _TOE_LENGTH_ERROR_MM, 1),
    _length(
        "heel_length_medial", "inside heel length", (12, 75), (3, 150), _HEEL_LENGTH_ERROR_MM, 1
    ),
    _length(
        "heel_length_lateral", "outside heel length", (12, 75), (3, 150), _HEEL_LENGTH_ERROR_MM, 1
    ),
    _length("frog_width", "frog width", (20, 95), (5, 200), _GROUND_LENGTH_ERROR_MM, 0),
    _length("frog_length", "frog length", (45, 160), (15, 300), _GROUND_LENGTH_ERROR_MM, 0),
    _length("hoof_width", "hoof width", (65, 200), (25, 350), _GROUND_LENGTH_ERROR_MM, 0),
    _length("hoof_length", "hoof length", (65, 210), (25, 350), _GROUND_LENGTH_ERROR_MM, 1),
    _length(
        "coronary_circumference",
        "coronet circumference",
        (200, 520),
        (100, 800),
        _CIRCUMFERENCE_ERROR_MM,
        0,
    ),
    _angle("palmar_angle", "palmar angle", (-5, 15), (-30, 60), _PALMAR_ANGLE_ERROR_DEG, -1),
    _length("sole_depth", "sole depth", (6, 35), (0, 60), _SOLE_DEPTH_ERROR_MM, 1),
)

QUANTITIES: dict[str, Quantity] = {quantity.key: quantity for quantity in _ALL}

# Not measured on a foot, so not in QUANTITIES; the horse's weight uses the same checks.
BODY_WEIGHT = Quantity(
    "body_weight", "body weight", "weight", "kg", 0, 80, 1100, 10, 1600, _WEIGHT_ERROR_KG, 0
)


def error_sd(quantity: Quantity, method: Method) -> float:
    """How far one reading by this method usually is from another careful person's reading.

    Returns the SD in the quantity's base unit (sources beside the tables above). It is a
    default: a person's own repeat readings should replace it. Raises `MethodDoesNotFit`.
    """
    try:
        return quantity.error_sd[method]
    except KeyError:
        offered = ", ".join(fitting.label for fitting in quantity.methods)
        raise MethodDoesNotFit(
            f"The {quantity.label} cannot be measured by {method.label}. Choose from: {offered}."
        ) from None


def mdc95(sd_a: float, sd_b: float) -> float:
    """How much two readings must differ before the difference is more than measuring error.

    `sd_a`, `sd_b`: error SDs (>= 0) of the two readings, one unit; the answer is in that unit.
    Minimal detectable change, 1.96*sqrt(sd_a^2 + sd_b^2): with equal SDs the published
    1.96*sqrt(2)*SEM (Weir, J Strength Cond Res 2005;19:231-240). Limits: independent errors; the
    same person with the same tool twice usually differs less. Raises `HoofError` for a
    negative or non-finite SD.
    """
    for sd in (sd_a, sd_b):
        if not (math.isfinite(sd) and sd >= 0):
            raise HoofError("A measuring error must be a finite number, zero or more.")
    return Z_95_TWO_SIDED * math.hypot(sd_a, sd_b)


def range_check(quantity: Quantity, base_value: float) -> RangeCheck:
    """Whether a value (base unit) can be taken, needs a second look, or is refused.

    Limits themselves are fine; NaN and infinities are refused.
    """
    if not quantity.possible_low <= base_value <= quantity.possible_high:
        return RangeCheck.REFUSE
    if not quantity.plausible_low <= base_value <= quantity.plausible_high:
        return RangeCheck.CONFIRM
    return RangeCheck.FINE
