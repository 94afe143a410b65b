"""Indices and body weight against the arithmetic of their published formulae."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measurements.hoof.indices import (
    KG_PER_CM2_PER_LB_PER_IN2,
    SMALL_FEET_LB_PER_IN2,
    AgeClass,
    OutsideValidity,
    body_weight_kg,
    expected_foal_toe_length_mm,
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
    ("girth_in", "length_in", "age", "weight_lb"),
    # Extension formulae: G^2 * L / 330 adult, 301 yearling, 280 weanling.
    [
        (76, 65, AgeClass.ADULT, 1137.697),
        (70, 60, AgeClass.YEARLING, 976.744),
        (50, 45, AgeClass.WEANLING, 401.786),
    ],
)
def test_body_weight_from_girth_and_length(girth_in, length_in, age, weight_lb):
    weight = body_weight_kg(girth_in * MM_PER_IN, length_in * MM_PER_IN, age)
    assert weight / KG_PER_LB == pytest.approx(weight_lb, abs=5e-4)


def test_the_metric_formula_is_the_exact_conversion_of_the_inch_one():
    # 330 in inches and pounds is 11922.006 in cm and kg; 11880 and 11877 are printed roundings.
    girth_cm, length_cm = 193.04, 165.10
    exact = girth_cm**2 * length_cm / 11922.006
    weight = body_weight_kg(girth_cm * 10, length_cm * 10)
    assert weight == pytest.approx(exact, rel=1e-7)
    assert 517.875 / weight == pytest.approx(1.0035, abs=5e-5)


@pytest.mark.parametrize(
    ("girth", "length"), [(599, 1600), (2801, 1600), (1900, 499), (1900, 2601), (math.nan, 1600)]
)
def test_no_horse_has_such_a_girth_or_length(girth, length):
    with pytest.raises(OutsideValidity):
        body_weight_kg(girth, length)


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


@pytest.mark.parametrize(
    ("month", "length_cm"),
    [(1, 4.6986), (2, 5.2214), (3, 5.6395), (4, 5.9528), (5, 6.1613), (6, 6.2649)],
)
def test_the_toe_length_of_a_foal(month, length_cm):
    # Curtis, Vet J 2014;201:116-117, as cited.
    assert expected_foal_toe_length_mm(month) == pytest.approx(10 * length_cm, abs=5e-4)


@pytest.mark.parametrize(("month", "seen_cm"), [(1, 4.69), (2, 5.21), (3, 5.60), (4, 6.01)])
def test_the_foal_formula_lies_near_the_observed_means(month, seen_cm):
    # Observed means of the same study.
    assert expected_foal_toe_length_mm(month) == pytest.approx(10 * seen_cm, abs=0.6)


@pytest.mark.parametrize("month", [0.9, 6.1, 12, math.nan])
def test_the_foal_formula_gives_no_answer_outside_its_months(month):
    with pytest.raises(OutsideValidity, match="age in months"):
        expected_foal_toe_length_mm(month)
