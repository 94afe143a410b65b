"""A foot that truly stands at a rule's threshold is hardly ever called surely past it.

Simulated readings with the errors of every method that fits. "Surely" is about the threshold, not
about zero: at most one reading in twenty may say so at the threshold, and well past it most must.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest

from measurements.hoof import shape
from measurements.hoof.indices import (
    KG_PER_CM2_PER_LB_PER_IN2,
    SMALL_FEET_LB_PER_IN2,
    expected_toe_length_mm,
)
from measurements.hoof.quantities import QUANTITIES, Method, error_sd
from measurements.hoof.shape_finding import Measured, ShapeFinding

DRAWS = 4_000
SEED = 4_114
AT_MOST = 0.05
MOST = 0.95

WEIGHT_SD_KG = 22.7
Rule = Callable[..., ShapeFinding | None]


@dataclass(frozen=True)
class Case:
    """True values at the threshold, and which way the first of them makes it worse.

    `well_past`: how far past counts as plain, where the weight's error comes on top.
    """

    rule: Rule
    quantities: tuple[str, ...]
    true: tuple[float, ...]
    worse: int
    well_past: float = 0.0

    def __str__(self) -> str:
        return f"{self.rule.__name__} {self.true}"


def weighed(rule: Rule, weight_kg: float) -> Rule:
    """A rule with the weight by tape, drawn anew at each reading."""
    rng = np.random.default_rng(SEED + 1)

    def asked(reading: Measured) -> ShapeFinding | None:
        weight = weight_kg + WEIGHT_SD_KG * rng.standard_normal()
        if rule is shape.small_feet:
            return shape.small_feet(weight, WEIGHT_SD_KG, reading)
        return shape.long_toe(reading, weight)

    asked.__name__ = f"{rule.__name__} at {weight_kg:g} kg"
    return asked


def coronet_mm(weight_kg: float) -> float:
    """The coronet of a foot that is just large enough, by the formula."""
    kg_per_cm2 = SMALL_FEET_LB_PER_IN2 * KG_PER_CM2_PER_LB_PER_IN2
    return 10 * float(np.sqrt(weight_kg * 4 * np.pi / kg_per_cm2))


CASES = [
    Case(shape.underrun_heel, ("toe_angle", "heel_angle"), (50.0, 45.0), +1),
    Case(shape.hoof_pastern_axis, ("toe_angle", "pastern_angle"), (53.0, 50.0), +1),
    Case(shape.hoof_pastern_axis, ("toe_angle", "pastern_angle"), (47.0, 50.0), -1),
    Case(shape.sheared_heels, ("heel_length_medial", "heel_length_lateral"), (40.0, 35.0), +1),
    Case(shape.uneven_pair, ("toe_angle", "toe_angle"), (51.5, 50.0), +1),
    Case(shape.narrow_frog, ("frog_width", "frog_length"), (40.2, 60.0), -1),
    Case(shape.narrow_frog, ("frog_width", "frog_length"), (30.15, 45.0), -1),
    Case(shape.negative_palmar_angle, ("palmar_angle",), (0.0,), -1),
    Case(shape.thin_sole, ("sole_depth",), (15.0,), -1),
    *(
        Case(
            weighed(shape.small_feet, kg),
            ("coronary_circumference",),
            (coronet_mm(kg),),
            -1,
            kg / 5,
        )
        for kg in (250, 500, 700)
    ),
    *(
        Case(
            weighed(shape.long_toe, kg),
            ("toe_length",),
            (expected_toe_length_mm(kg) + shape.LONG_TOE_EXCESS_MM,),
            +1,
            25.0,
        )
        for kg in (415, 440, 497, 520)
    ),
]


def share_sure(case: Case, method: Method, past: float) -> float:
    """How often the rule calls the foot surely past its threshold, `past` worse than it is."""
    rng = np.random.default_rng(SEED)
    true = (case.true[0] + case.worse * past, *case.true[1:])
    sure = 0
    for _ in range(DRAWS):
        readings = []
        for quantity, value in zip(case.quantities, true, strict=True):
            sd = error_sd(QUANTITIES[quantity], method)
            readings.append(Measured(value + sd * rng.standard_normal(), sd, method))
        finding = case.rule(*readings)
        sure += finding is not None and finding.exceeds_error
    return sure / DRAWS


def fitting(case: Case) -> list[Method]:
    methods = [set(QUANTITIES[quantity].methods) for quantity in case.quantities]
    return sorted(set.intersection(*methods))


EVERY = [pytest.param(case, m, id=f"{case} {m}") for case in CASES for m in fitting(case)]


@pytest.mark.parametrize(("case", "method"), EVERY)
def test_at_its_threshold_a_rule_is_hardly_ever_sure(case: Case, method: Method) -> None:
    assert share_sure(case, method, 0.0) <= AT_MOST


@pytest.mark.parametrize(("case", "method"), EVERY)
def test_well_past_its_threshold_a_rule_is_mostly_sure(case: Case, method: Method) -> None:
    sds = [error_sd(QUANTITIES[quantity], method) for quantity in case.quantities]
    past = case.well_past or 4.2 * float(np.hypot.reduce(sds))
    assert share_sure(case, method, past) >= MOST


def test_an_underrun_of_four_degrees_is_not_called_sure() -> None:
    case = Case(shape.underrun_heel, ("toe_angle", "heel_angle"), (50.0, 46.0), +1)
    assert share_sure(case, Method.GAUGE, 0.0) <= AT_MOST / 5
