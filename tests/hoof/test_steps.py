"""Small steps from the present angle to a band."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measurements.hoof.steps import StepImpossible, steps_to_band


def plan(level=47.0, low=52.0, high=54.0, **changes):
    usual = {"first_visit_days": 14, "interval_days": 42, "base_length_mm": 110}
    return steps_to_band(level, low, high, **{**usual, **changes})


def test_five_degrees_take_three_visits_of_at_most_two():
    steps = plan().steps
    assert [step.aim_deg for step in steps] == [49, 51, 52]
    assert [step.change_deg for step in steps] == [2, 2, 1]
    assert [step.at_days for step in steps] == [14, 56, 98]
    assert [step.visit for step in steps] == [1, 2, 3]


def test_each_step_says_its_heel_raise_and_about_its_load():
    step = plan().steps[-1]
    assert step.heel_raise_mm == pytest.approx(1.9201, abs=5e-5)  # 110 mm * tan(1 deg)
    assert step.navicular_load_percent == -4  # Eliashar 2004 as quoted


def test_a_foot_that_is_too_steep_comes_down_to_the_high_edge():
    steps = plan(level=57.0).steps
    assert [step.aim_deg for step in steps] == [55, 54]
    assert steps[0].heel_raise_mm < 0


def test_a_foot_inside_its_band_needs_no_step():
    assert plan(level=53.0).steps == ()
    assert plan(level=52.0).steps == ()
    assert plan(level=60.0, high=None).steps == ()


def test_over_three_degrees_at_a_visit_is_marked_as_fast():
    assert plan(change_per_visit_deg=3.5).is_fast
    assert not plan(change_per_visit_deg=3.0).is_fast


def test_a_short_interval_grows_too_little_horn_for_a_large_step():
    # Two weeks grow 3.5 mm of wall (Josseck 1995), 2.6 mm high at 47 deg: 1.3 deg over 110 mm.
    hurried = plan(interval_days=14, change_per_visit_deg=3.0)
    assert hurried.limited_by_horn
    assert hurried.steps[0].change_deg == pytest.approx(1.333, abs=5e-3)
    assert not plan().limited_by_horn


@pytest.mark.parametrize("interval_days", [130, 180, 400])
def test_a_very_long_interval_allows_the_usual_step(interval_days):
    """More horn grows than the geometry of a trim holds for: the step is what was asked for."""
    long = plan(interval_days=interval_days)
    assert [step.change_deg for step in long.steps] == [2, 2, 1]
    assert [step.at_days for step in long.steps] == [14, 14 + interval_days, 14 + 2 * interval_days]
    assert not long.limited_by_horn


def test_years_of_visits_are_no_plan():
    with pytest.raises(StepImpossible, match="years"):
        plan(level=30.0, change_per_visit_deg=0.1)


@pytest.mark.parametrize(
    "changes",
    [
        {"interval_days": 0},
        {"interval_days": math.nan},
        {"first_visit_days": -1},
        {"level": math.nan},
        {"change_per_visit_deg": 0},
        {"change_per_visit_deg": 6.1},
        {"change_per_visit_deg": math.nan},
    ],
)
def test_steps_that_lead_nowhere_are_refused(changes):
    with pytest.raises(StepImpossible):
        plan(**changes)


@given(st.floats(40, 70), st.floats(0.5, 6), st.integers(20, 90))
def test_the_last_step_arrives_and_none_is_too_large(level, change, interval):
    steps = plan(level=level, change_per_visit_deg=change, interval_days=interval).steps
    for step in steps:
        assert abs(step.change_deg) <= change + 1e-9
    if steps:
        assert steps[-1].aim_deg == pytest.approx(52 if level < 52 else 54)
        assert sum(step.change_deg for step in steps) == pytest.approx(steps[-1].aim_deg - level)
