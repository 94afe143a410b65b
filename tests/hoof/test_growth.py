"""Growth between trims, taken out of readings."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from measurements.hoof.errors import HoofError
from measurements.hoof.growth import (
    CYCLE_DAYS,
    Growth,
    at_trim,
    borrowed_growth,
    expected_before_trim,
    expected_change,
    growth_prior,
    own_growth,
)
from measurements.hoof.quantities import BODY_WEIGHT, QUANTITIES, Shoeing
from measurements.hoof.series import UnusableReading
from tests.hoof.build import after_trims, before_trims

TOE = QUANTITIES["toe_angle"]
TOE_LENGTH = QUANTITIES["toe_length"]
CORONET = QUANTITIES["coronary_circumference"]
PER_MONTH = 30.44 / CYCLE_DAYS


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=lambda q: q.key)
@pytest.mark.parametrize("shoeing", Shoeing)
def test_every_quantity_has_a_prior_for_every_shoeing_state(quantity, shoeing):
    assert growth_prior(quantity, shoeing).sd_per_56_days > 0


def test_a_horses_weight_has_no_growth_between_trims():
    with pytest.raises(HoofError, match="body weight"):
        growth_prior(BODY_WEIGHT, Shoeing.SHOD)


def test_a_shod_toe_angle_falls_about_as_published():
    # -3.5 and -3.3 deg in 8 weeks (van Heel 2005, Moleman 2006, as quoted): -0.44 and -0.41 a week.
    growth = growth_prior(TOE, Shoeing.SHOD)
    assert growth == Growth(-3.0, 0.8)
    for published in (-3.5, -3.3):
        assert abs(published - growth.mean_per_56_days) < growth.sd_per_56_days
    assert -0.4375 < growth.mean_per_56_days / 8 < -0.3


def test_a_barefoot_angle_may_rise_or_fall():
    # Malone & Davies, Animals 2019;9:1017: falls shod, rises barefoot.
    for key in ("toe_angle", "heel_angle", "palmar_angle"):
        growth = growth_prior(QUANTITIES[key], Shoeing.BAREFOOT)
        assert growth.mean_per_56_days == 0
        assert growth.sd_per_56_days >= 2


def test_a_shod_toe_lengthens_as_the_wall_grows():
    # 6-10 mm a month (The Veterinary Care of the Horse p.196); 7 mm in 28 days (Josseck 1995).
    monthly = growth_prior(TOE_LENGTH, Shoeing.SHOD).mean_per_56_days * PER_MONTH
    assert 6 <= monthly <= 10
    assert growth_prior(TOE_LENGTH, Shoeing.SHOD).mean_per_56_days == 14


def test_barefoot_wear_takes_part_of_the_toe_back():
    bare = growth_prior(TOE_LENGTH, Shoeing.BAREFOOT).mean_per_56_days
    assert 0 < bare < growth_prior(TOE_LENGTH, Shoeing.SHOD).mean_per_56_days


def test_the_coronet_shrinks_shod_against_barefoot_as_published():
    # Malone & Davies 2019: shod minus barefoot -6.5 +/- 1.6 mm over 7 weeks.
    shod, bare = (
        expected_change(growth_prior(CORONET, state), 49)[0]
        for state in (Shoeing.SHOD, Shoeing.BAREFOOT)
    )
    assert shod - bare == pytest.approx(-6.5, abs=0.1)


def test_weekly_coronet_changes_in_training_and_rest_fit_the_prior():
    # Decurnex, Equine Vet J 2009: training -0.57 to -0.66, rest +1.03 to +1.12 mm a week.
    growth = growth_prior(CORONET, Shoeing.SHOD)
    for weekly in (-0.66, -0.57, 1.03, 1.12):
        change = weekly * CYCLE_DAYS / 7
        assert abs(change - growth.mean_per_56_days) < 2.2 * growth.sd_per_56_days


def test_growth_is_straight_in_time():
    assert expected_change(Growth(-3.0, 0.8), 28) == (-1.5, 0.4)
    assert expected_change(Growth(-3.0, 0.8), 0) == (0, 0)


@pytest.mark.parametrize("days", [-1, math.nan, math.inf])
def test_days_since_the_trim_are_real_and_not_negative(days):
    with pytest.raises(UnusableReading, match="Days since the trim"):
        expected_change(Growth(-3.0, 0.8), days)


def test_a_shorter_interval_keeps_the_foot_steeper_before_the_trim():
    growth = Growth(-3.2, 0.6)
    five_weeks, eight_weeks = (expected_before_trim(52, 0.5, growth, 7 * w) for w in (5, 8))
    assert five_weeks[0] == pytest.approx(50.0)
    assert eight_weeks[0] == pytest.approx(48.8)
    assert eight_weeks[1] == pytest.approx(math.hypot(0.5, 0.6))
    assert five_weeks[1] < eight_weeks[1]


def test_a_reading_seven_weeks_on_is_put_back_to_its_trim():
    # 49 deg seven weeks after a trim to 52 is the growth and nothing else, near enough.
    level = at_trim([52, 49.375], [0, 49], growth_prior(TOE, Shoeing.SHOD))
    assert level == pytest.approx([52, 52])


def test_a_barefoot_reading_is_left_as_it_is():
    level = at_trim([52, 50], [0, 49], growth_prior(TOE, Shoeing.BAREFOOT))
    assert level == pytest.approx([52, 50])


@pytest.mark.parametrize(
    ("values", "days"), [([math.nan], [0]), ([52], [math.nan]), ([52], [-1]), ([52, 51], [0])]
)
def test_values_that_cannot_be_corrected_are_refused(values, days):
    with pytest.raises(UnusableReading):
        at_trim(values, days, growth_prior(TOE, Shoeing.SHOD))


@given(st.lists(st.floats(30, 70), min_size=1, max_size=8), st.floats(0, 200), st.floats(-10, 10))
def test_correcting_undoes_growing(levels, days, growth):
    cycle = Growth(growth, 1.0)
    grown = np.array(levels) + expected_change(cycle, days)[0]
    assert at_trim(grown, [days] * len(levels), cycle) == pytest.approx(levels)


def test_a_horse_without_pairs_of_readings_keeps_the_prior():
    prior = growth_prior(TOE, Shoeing.SHOD)
    for readings in ([], after_trims([52, 51, 50]), before_trims([49, 48, 47])):
        own = own_growth(readings, prior)
        assert own.mean_per_56_days == pytest.approx(prior.mean_per_56_days)
        assert own.sd_per_56_days == pytest.approx(prior.sd_per_56_days)


def test_one_cycle_moves_the_growth_by_its_precision():
    # Prior -3 +/- 0.8; one difference over 56 days of -5 +/- sqrt(2): weights 1.5625 to 0.5.
    pair = after_trims([52]) + before_trims([47], interval_days=56)
    own = own_growth(pair, Growth(-3.0, 0.8))
    assert own.mean_per_56_days == pytest.approx((1.5625 * -3 + 0.5 * -5) / 2.0625)
    assert own.sd_per_56_days == pytest.approx(2.0625**-0.5)


def test_many_cycles_teach_the_horses_own_growth():
    readings = after_trims([52] * 40) + before_trims([50.25] * 40)
    own = own_growth(readings, growth_prior(TOE, Shoeing.SHOD))
    assert own.mean_per_56_days == pytest.approx(-2.0, abs=0.1)


def test_a_falling_level_does_not_pass_as_growth():
    levels = np.linspace(52, 42, 20)
    readings = after_trims(levels) + before_trims(levels - 3.0 * 49 / 56)
    assert own_growth(readings, Growth(-3.0, 0.8)).mean_per_56_days == pytest.approx(-3.0)


def test_a_careless_reading_moves_the_middle_of_its_cycle_less():
    """Else the level would pass as growth: a foot ten degrees steeper grows alike."""
    low, high = (
        after_trims([52 + up], sd=1.0)
        + before_trims([50 + up], sd=2.0)
        + before_trims([47 + up], sd=0.5, interval_days=70)
        for up in (0, 10)
    )
    prior = growth_prior(TOE, Shoeing.SHOD)
    assert own_growth(low, prior).mean_per_56_days == pytest.approx(
        own_growth(high, prior).mean_per_56_days
    )


def test_the_growth_in_a_cycle_is_the_weighted_line_through_its_readings():
    readings = after_trims([52], sd=1.0) + before_trims([50], sd=2.0)
    readings += before_trims([47], sd=0.5, interval_days=70)
    days, values, sds = zip(*((r.days_since_trim, r.value, r.sd) for r in readings), strict=True)
    slope = np.polyfit(np.array(days) / CYCLE_DAYS, values, 1, w=1 / np.array(sds))[0]
    vague = Growth(0.0, 1e6)
    assert own_growth(readings, vague).mean_per_56_days == pytest.approx(slope)


@pytest.mark.parametrize(
    ("quantity", "sd", "lender"),
    [
        ("heel_angle", 0.72, "toe_angle"),  # of a prior of 1.0: the variance is not yet halved
        ("heel_angle", 0.70, None),
        ("palmar_angle", 1.07, "toe_angle"),  # of 1.5
        ("palmar_angle", 1.05, None),
        ("toe_angle", 0.8, None),
    ],
)
def test_growth_is_borrowed_until_the_horses_cycles_say_as_much(quantity, sd, lender):
    assert borrowed_growth(QUANTITIES[quantity], Growth(-3.0, sd)) == lender
