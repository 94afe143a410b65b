"""Indices and body weight against the arithmetic of their published formulae."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measurements.hoof.indices import (
    KG_PER_CM2_PER_LB_PER_IN2,
    SMALL_FEET_LB_PER_IN2,
    OutsideValidity,
    expected_toe_length_mm,
    frog_ratio,
    hoof_size_index,
)

KG_PER_LB = 0.45359237
MM_PER_IN = 25.4


def test_the_size_index_of_a_thousand_pound_horse():
    # W * 4 pi / C^2, 1000 lb on 14 in: 64.1141 lb/in2.
    index = hoof_size_index(1000 * KG_PER_LB, 14 * MM_PER_IN)
    assert index.lb_per_in2 == pytest.approx(64.1141, abs=5e-5)


def test_the_size_index_in_metric_units():
    # 450 kg on 34.0 cm: 4.89175 kg/cm2, 69.577 lb/in2.
    index = hoof_size_index(450, 340)
    assert index.kg_per_cm2 == pytest.approx(4.89175, abs=5e-6)
    assert index.lb_per_in2 == pytest.approx(69.577, abs=5e-4)


def test_the_threshold_of_small_feet_in_metric_units():
    # Turner 1992: 78 lb/in2.
    metric = SMALL_FEET_LB_PER_IN2 * KG_PER_CM2_PER_LB_PER_IN2
    assert metric == pytest.approx(5.48394, abs=5e-6)


@pytest.mark.parametrize(
    ("weight_lb", "circumference_in"),
    [(800, 11.353), (900, 12.041), (1000, 12.693), (1100, 13.312), (1200, 13.904), (1300, 14.472)],
)
def test_the_smallest_coronet_at_the_threshold(weight_lb, circumference_in):
    index = hoof_size_index(weight_lb * KG_PER_LB, circumference_in * MM_PER_IN)
    assert index.lb_per_in2 == pytest.approx(SMALL_FEET_LB_PER_IN2, abs=0.01)


@given(st.floats(100, 1000), st.floats(200, 500), st.floats(1.01, 3))
def test_a_larger_foot_under_the_same_horse_has_a_smaller_index(weight, circumference, factor):
    small = hoof_size_index(weight, circumference).kg_per_cm2
    large = hoof_size_index(weight, circumference * factor).kg_per_cm2
    assert small / large == pytest.approx(factor**2)


def test_two_thirds_is_the_ratio_of_forty_by_sixty():
    assert frog_ratio(40, 60) == pytest.approx(0.6667, abs=5e-5)


@pytest.mark.parametrize("bad", [0, -1, math.nan, math.inf])
def test_a_size_that_is_not_above_zero_is_refused(bad):
    for call in (hoof_size_index, frog_ratio):
        with pytest.raises(OutsideValidity, match="more than zero"):
            call(bad, 100)
        with pytest.raises(OutsideValidity, match="more than zero"):
            call(100, bad)


@pytest.mark.parametrize(
    ("weight", "toe"),
    # 3, 3 1/4 and 3 1/2 in: Balch, White & Butler 1991 as generally quoted.
    [(360, 76.2), (400, 76.2), (415, 79.375), (430, 82.55), (475, 82.55), (520, 88.9), (570, 88.9)],
)
def test_the_toe_length_that_goes_with_a_weight(weight, toe):
    assert expected_toe_length_mm(weight) == pytest.approx(toe)


@pytest.mark.parametrize("weight", [359.9, 570.1, 0, math.nan])
def test_toe_length_by_weight_is_not_known_for_ponies_and_draught_horses(weight):
    with pytest.raises(OutsideValidity):
        expected_toe_length_mm(weight)
