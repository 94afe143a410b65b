"""The geometry of a trim, and the published load figures."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measurements.hoof.mechanics import (
    NAVICULAR_LOAD_CAUTION,
    OutsideModel,
    heel_raise_mm,
    height_along_wall_mm,
    navicular_load_change_percent,
    turn_from_heel_raise_deg,
)

BASES = st.floats(60, 200)
TURNS = st.floats(-14, 14)


@pytest.mark.parametrize(
    ("turn", "base", "raised"),
    # h = L * tan(angle)
    [(1, 100, 1.7455), (1, 110, 1.9201), (1, 120, 2.0946), (1, 130, 2.2692), (3, 110, 5.7649)],
)
def test_the_heel_raise_for_a_turn(turn, base, raised):
    assert heel_raise_mm(turn, base) == pytest.approx(raised, abs=5e-5)


@given(TURNS, BASES)
def test_a_raise_gives_back_its_turn(turn, base):
    assert turn_from_heel_raise_deg(heel_raise_mm(turn, base), base) == pytest.approx(turn)


@given(TURNS, BASES)
def test_a_turn_the_other_way_takes_the_opposite_raise(turn, base):
    assert heel_raise_mm(-turn, base) == -heel_raise_mm(turn, base)


def test_wall_length_stands_on_its_slope():
    assert height_along_wall_mm(10, 90) == 10
    assert height_along_wall_mm(10, 30) == pytest.approx(5)


@pytest.mark.parametrize(("turn", "percent"), [(1, -4), (-1, 4), (6, -24), (0, 0)])
def test_load_on_the_navicular_bone_falls_about_four_percent_a_degree(turn, percent):
    # Eliashar 2004 as quoted by Weller; Willemen 1999: a 6 deg wedge, 24 % less.
    assert navicular_load_change_percent(turn) == percent
    assert "no prediction for one horse" in NAVICULAR_LOAD_CAUTION


def test_no_change_of_angle_is_not_minus_zero():
    assert math.copysign(1, navicular_load_change_percent(0)) == 1


@pytest.mark.parametrize("turn", [6.1, -6.1, math.nan])
def test_load_is_not_extrapolated(turn):
    with pytest.raises(OutsideModel, match="6°"):
        navicular_load_change_percent(turn)


@pytest.mark.parametrize(
    "call",
    [
        lambda: heel_raise_mm(15.1, 110),
        lambda: heel_raise_mm(math.nan, 110),
        lambda: heel_raise_mm(1, 39),
        lambda: heel_raise_mm(1, 251),
        lambda: turn_from_heel_raise_deg(math.nan, 110),
        lambda: turn_from_heel_raise_deg(60, 110),
        lambda: height_along_wall_mm(5, 0),
        lambda: height_along_wall_mm(5, 91),
        lambda: height_along_wall_mm(-5, 50),
    ],
)
def test_values_that_are_no_foot_and_no_trim_are_refused(call):
    with pytest.raises(OutsideModel):
        call()
