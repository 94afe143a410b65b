"""Numbers worked out of several measurements: size index, frog ratio, expected toe length.

Each is a rule of thumb with a range it was made for; outside it a named error is raised.
"""

import math
from dataclasses import dataclass

from measurements.hoof.errors import HoofError

MM_PER_IN = 25.4
KG_PER_LB = 0.45359237
MM_PER_CM = 10.0
# kg/cm2 in one lb/in2
KG_PER_CM2_PER_LB_PER_IN2 = KG_PER_LB / (MM_PER_IN / MM_PER_CM) ** 2

# Above this the feet are small for the body: Turner TA, AAEP Proc 1992;38:389-395, restated
# SIVE Congress Proc 2010.
SMALL_FEET_LB_PER_IN2 = 78.0

# Weight in kg to toe length in mm: Balch, White & Butler, JAVMA 1991;198:1980-1989, as generally
# quoted (3, 3 1/4 and 3 1/2 in; from memory). Straight between the weight classes: house default.
TOE_LENGTH_MM_BY_WEIGHT_KG = (
    (360.0, 76.2),
    (400.0, 76.2),
    (430.0, 82.55),
    (475.0, 82.55),
    (520.0, 88.9),
    (570.0, 88.9),
)


class OutsideValidity(HoofError):
    """The rule was not made for such a value, so it gives no answer."""


@dataclass(frozen=True)
class SizeIndex:
    """Body weight on the area of a circle as long round as the coronet, in both units."""

    kg_per_cm2: float
    lb_per_in2: float


def hoof_size_index(weight_kg: float, circumference_mm: float) -> SizeIndex:
    """How much body stands on a foot's size: W * 4 pi / C^2.

    `weight_kg` > 0; `circumference_mm` > 0, taken just under the coronary band. Formula
    as used with Turner's 78 lb/in2 (12.56 there is 4 pi rounded; from memory). Limits: the error
    of a weight tape passes straight into it. Raises `OutsideValidity` for values not above zero.
    """
    weight = _positive("body weight", weight_kg)
    circumference_cm = _positive("coronet circumference", circumference_mm) / MM_PER_CM
    kg_per_cm2 = weight * 4 * math.pi / circumference_cm**2
    return SizeIndex(kg_per_cm2, kg_per_cm2 / KG_PER_CM2_PER_LB_PER_IN2)


def frog_ratio(width_mm: float, length_mm: float) -> float:
    """Frog width over frog length, both mm > 0. Raises `OutsideValidity`.

    Below 0.67 is one definition of contracted heels (Turner 1992); others call 0.50-0.66 good
    (O'Grady, Parks; from memory).
    """
    return _positive("frog width", width_mm) / _positive("frog length", length_mm)


def expected_toe_length_mm(weight_kg: float) -> float:
    """The toe length that goes with a body weight of 360 to 570 kg, fore feet, mm.

    A rule of thumb (source beside the table): in one sample of working horses nine of ten fore
    feet were longer (Braz J Vet Med article 421). Raises `OutsideValidity` outside the weights.
    """
    weight = _positive("body weight", weight_kg)
    lightest, heaviest = TOE_LENGTH_MM_BY_WEIGHT_KG[0][0], TOE_LENGTH_MM_BY_WEIGHT_KG[-1][0]
    if not lightest <= weight <= heaviest:
        raise OutsideValidity("Toe length by weight is known for 360 to 570 kg only.")
    steps = zip(TOE_LENGTH_MM_BY_WEIGHT_KG, TOE_LENGTH_MM_BY_WEIGHT_KG[1:], strict=False)
    (low_kg, low_mm), (high_kg, high_mm) = next(pair for pair in steps if weight <= pair[1][0])
    return low_mm + (high_mm - low_mm) * (weight - low_kg) / (high_kg - low_kg)


def _positive(name: str, value: float) -> float:
    if not (math.isfinite(value) and value > 0):
        raise OutsideValidity(f"The {name} must be more than zero.")
    return value
