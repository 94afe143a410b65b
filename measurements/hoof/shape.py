"""Rules about the shape of a foot at one moment: each a prompt to talk, never a diagnosis.

The thresholds are objective definitions used in the trade. They are wide nets: in ordinary
working horses they catch a quarter to a half, and the frog rule up to every fore foot (Schade,
Cienc Rural 2013;43:456-461; Braz J Vet Med article 421). So a finding alerts only when it is new
or getting worse; otherwise it is a remark.

"Beyond the error" is always said of the threshold, never of zero: a foot that truly stands at its
threshold is called surely past it by at most one reading in twenty, whatever was measured with.

Decided 2026-11: a shape finding alerts when it is new or worse beyond the error, else it is a
remark; what was there at the first look is a remark. The road not taken: the usual rules as alarms,
which flag a third or more of ordinary horses.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from measurements.hoof.indices import (
    SMALL_FEET_LB_PER_IN2,
    TOE_LENGTH_MM_BY_WEIGHT_KG,
    OutsideValidity,
    expected_toe_length_mm,
    frog_ratio,
    hoof_size_index,
)
from measurements.hoof.quantities import BODY_WEIGHT, Z_95_TWO_SIDED, Method, error_sd, mdc95
from measurements.hoof.shape_finding import Measured, ShapeFinding, ShapeRule

# Turner TA, AAEP Proc 1992;38:389-395, restated SIVE Congress Proc 2010.
UNDERRUN_HEEL_DEG = 5.0  # heel angle this much or more under the toe angle
SHEARED_HEELS_MM = 5.0  # inside and outside heel differ by this much or more
NARROW_FROG_RATIO = 0.67  # width over length below this
# Uneven above this: Wiggers, PLoS ONE 2015;10(2):e0114836; Turner the same (from memory).
UNEVEN_PAIR_DEG = 1.5
# No published tolerance found for a straight hoof-pastern axis: 2-3 deg by convention (from
# memory), the wider taken.
AXIS_TOLERANCE_DEG = 3.0
# A palmar border lower than the tip is a negative angle: Merck Veterinary Manual.
NEGATIVE_PALMAR_ANGLE_DEG = 0.0
# 10 mm of corium and 5 mm of horn: Baus, interview, as quoted.
THIN_SOLE_MM = 15.0
# Over the expected toe length by one weight class of that table, 1/4 in: house default.
LONG_TOE_EXCESS_MM = 6.35

# Differences of entered decimals pick up binary dust: 52.3 - 47.3 is not 5 without this.
_DECIMALS_KEPT = 6


def underrun_heel(toe_angle: Measured, heel_angle: Measured) -> ShapeFinding | None:
    """Whether the heel angle is 5 deg or more under the toe angle of the same foot (Turner)."""
    return _difference(
        ShapeRule.UNDERRUN_HEEL,
        (toe_angle, heel_angle),
        _gap(toe_angle.value, heel_angle.value),
        UNDERRUN_HEEL_DEG,
        {"toe_angle_deg": toe_angle.value, "heel_angle_deg": heel_angle.value},
    )


def hoof_pastern_axis(
    toe_angle: Measured, pastern_angle: Measured, tolerance_deg: float = AXIS_TOLERANCE_DEG
) -> ShapeFinding | None:
    """Whether the front of the hoof is out of line with the front of the pastern.

    Lower than the pastern is broken back, steeper broken forward (Turner), by more than
    `tolerance_deg` (>= 0, a convention). Limits: only with the foot loaded and the cannon bone
    upright (from memory).
    """
    steeper = _gap(toe_angle.value, pastern_angle.value)
    rule = ShapeRule.BROKEN_FORWARD_AXIS if steeper > 0 else ShapeRule.BROKEN_BACK_AXIS
    if abs(steeper) <= tolerance_deg:
        return None
    return _difference(
        rule,
        (toe_angle, pastern_angle),
        abs(steeper),
        tolerance_deg,
        {"toe_angle_deg": toe_angle.value, "pastern_angle_deg": pastern_angle.value},
    )


def sheared_heels(heel_medial: Measured, heel_lateral: Measured) -> ShapeFinding | None:
    """Whether the inside and outside heel of a foot differ by 5 mm or more (Turner)."""
    longer = "inside" if heel_medial.value > heel_lateral.value else "outside"
    return _difference(
        ShapeRule.SHEARED_HEELS,
        (heel_medial, heel_lateral),
        abs(_gap(heel_medial.value, heel_lateral.value)),
        SHEARED_HEELS_MM,
        {
            "heel_length_medial_mm": heel_medial.value,
            "heel_length_lateral_mm": heel_lateral.value,
            "longer": longer,
        },
    )


def uneven_pair(left_toe_angle: Measured, right_toe_angle: Measured) -> ShapeFinding | None:
    """Whether the toe angles of a pair differ by more than 1.5 deg, and at all beyond the error.

    Exactly 1.5 is left undefined by Wiggers 2015 and counts as even here. A difference that error
    alone may have made of an even pair is not told. Both readings should be of one day and one
    moment of the cycle.
    """
    size = abs(_gap(left_toe_angle.value, right_toe_angle.value))
    if size <= max(UNEVEN_PAIR_DEG, mdc95(left_toe_angle.sd, right_toe_angle.sd)):
        return None
    steeper = "left" if left_toe_angle.value > right_toe_angle.value else "right"
    return _difference(
        ShapeRule.UNEVEN_PAIR,
        (left_toe_angle, right_toe_angle),
        size,
        UNEVEN_PAIR_DEG,
        {
            "left_toe_angle_deg": left_toe_angle.value,
            "right_toe_angle_deg": right_toe_angle.value,
            "steeper": steeper,
        },
    )


def small_feet(
    weight_kg: float, weight_sd_kg: float, circumference: Measured
) -> ShapeFinding | None:
    """Whether the hoof size index is above 78 lb/in2 (Turner), meant for fore feet.

    `size` is the index in lb/in2; its error takes in the weight's and twice the circumference's.
    Raises `OutsideValidity` for a weight or circumference not above zero.
    """
    index = hoof_size_index(weight_kg, circumference.value)
    relative_sd = math.hypot(weight_sd_kg / weight_kg, 2 * circumference.sd / circumference.value)
    margin = _gap(index.lb_per_in2, SMALL_FEET_LB_PER_IN2)
    if not margin > 0:
        return None
    return _single(
        ShapeRule.SMALL_FEET,
        index.lb_per_in2,
        index.lb_per_in2 * relative_sd,
        margin,
        {
            "index_lb_per_in2": index.lb_per_in2,
            "index_kg_per_cm2": index.kg_per_cm2,
            "weight_kg": weight_kg,
            "circumference_mm": circumference.value,
        },
    )


def narrow_frog(width: Measured, length: Measured) -> ShapeFinding | None:
    """Whether frog width over length is under 0.67 (Turner); only ever a remark.

    `size` is the length over the width, so that larger is worse. "Two thirds" (40 by 60) is
    under 0.67. Raises `OutsideValidity` for sizes not above zero.
    """
    ratio = frog_ratio(width.value, length.value)
    margin = _gap(NARROW_FROG_RATIO, ratio)
    if not margin > 0:
        return None
    # The frog that is just wide enough for its length: in millimetres the error is the tape's.
    missing_mm = NARROW_FROG_RATIO * length.value - width.value
    missing_sd_mm = math.hypot(NARROW_FROG_RATIO * length.sd, width.sd)
    relative_sd = math.hypot(width.sd / width.value, length.sd / length.value)
    return ShapeFinding(
        rule=ShapeRule.NARROW_FROG,
        size=1 / ratio,
        size_sd=relative_sd / ratio,
        margin=margin,
        exceeds_error=missing_mm > Z_95_TWO_SIDED * missing_sd_mm,
        mixed_methods=width.method != length.method,
        evidence={
            "frog_ratio": ratio,
            "frog_width_mm": width.value,
            "frog_length_mm": length.value,
            **_methods(width, length),
        },
    )


def negative_palmar_angle(palmar_angle: Measured) -> ShapeFinding | None:
    """Whether the palmar (hind: plantar) angle on a radiograph is below 0 deg.

    `size` is the angle below zero.
    """
    below = _gap(NEGATIVE_PALMAR_ANGLE_DEG, palmar_angle.value)
    if not below > 0:
        return None
    evidence = {"palmar_angle_deg": palmar_angle.value}
    return _single(ShapeRule.NEGATIVE_PALMAR_ANGLE, below, palmar_angle.sd, below, evidence)


def thin_sole(sole_depth: Measured) -> ShapeFinding | None:
    """Whether the sole on a radiograph is under 15 mm deep; `size` is what is missing of them."""
    missing = _gap(THIN_SOLE_MM, sole_depth.value)
    if not missing > 0:
        return None
    evidence = {"sole_depth_mm": sole_depth.value}
    return _single(ShapeRule.THIN_SOLE, missing, sole_depth.sd, missing, evidence)


def long_toe(toe_length: Measured, weight_kg: float) -> ShapeFinding | None:
    """Whether a fore toe is over 1/4 in longer than goes with the weight; only ever a remark.

    None too for a weight outside the table (360-570 kg). `size` is the excess. Beyond the error
    is what even a horse as heavy as a weight tape's error allows would not need: the table goes up
    in steps, so the two errors are not added as squares.
    """
    try:
        expected = expected_toe_length_mm(weight_kg)
    except OutsideValidity:
        return None
    excess = _gap(toe_length.value, expected)
    if not excess > LONG_TOE_EXCESS_MM:
        return None
    evidence = {
        "toe_length_mm": toe_length.value,
        "expected_toe_length_mm": expected,
        "weight_kg": weight_kg,
    }
    margin = _gap(excess, LONG_TOE_EXCESS_MM)
    finding = _single(ShapeRule.LONG_TOE, excess, toe_length.sd, margin, evidence)
    surely = _gap(toe_length.value, _longest_expected_mm(weight_kg)) - LONG_TOE_EXCESS_MM
    return replace(finding, exceeds_error=surely > Z_95_TWO_SIDED * toe_length.sd)


def _longest_expected_mm(weight_kg: float) -> float:
    """What goes with a horse that is as much heavier as the error of a weight tape allows."""
    heavier = weight_kg + Z_95_TWO_SIDED * error_sd(BODY_WEIGHT, Method.TAPE)
    return expected_toe_length_mm(min(heavier, TOE_LENGTH_MM_BY_WEIGHT_KG[-1][0]))


def _gap(a: float, b: float) -> float:
    return round(a - b, _DECIMALS_KEPT)


def _methods(first: Measured, second: Measured) -> dict[str, float | str]:
    return {"first_method": first.method.value, "second_method": second.method.value}


def _difference(
    rule: ShapeRule,
    readings: tuple[Measured, Measured],
    size: float,
    threshold: float,
    evidence: dict[str, float | str],
) -> ShapeFinding | None:
    first, second = readings
    if size < threshold:
        return None
    size_sd, margin = math.hypot(first.sd, second.sd), _gap(size, threshold)
    return ShapeFinding(
        rule=rule,
        size=size,
        size_sd=size_sd,
        margin=margin,
        exceeds_error=margin > Z_95_TWO_SIDED * size_sd,
        mixed_methods=first.method != second.method,
        evidence={**evidence, **_methods(first, second)},
    )


def _single(
    rule: ShapeRule, size: float, size_sd: float, margin: float, evidence: Mapping[str, float | str]
) -> ShapeFinding:
    return ShapeFinding(
        rule=rule,
        size=size,
        size_sd=size_sd,
        margin=margin,
        exceeds_error=margin > Z_95_TWO_SIDED * size_sd,
        mixed_methods=False,
        evidence=evidence,
    )


# What each rule of one foot is asked about: quantities of one day and moment.
Rule = Callable[..., ShapeFinding | None]
OF_ONE_FOOT: tuple[tuple[Rule, tuple[str, ...]], ...] = (
    (underrun_heel, ("toe_angle", "heel_angle")),
    (hoof_pastern_axis, ("toe_angle", "pastern_angle")),
    (sheared_heels, ("heel_length_medial", "heel_length_lateral")),
    (narrow_frog, ("frog_width", "frog_length")),
)
