"""The simple trend: growth taken out, its error said, and nothing told from too little."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest

from measurements.hoof.bands import BandImpossible
from measurements.hoof.errors import HoofError
from measurements.hoof.growth import Growth
from measurements.hoof.quantities import QUANTITIES, Shoeing
from measurements.hoof.straight_line import StraightLine
from measurements.hoof.trend import (
    WINDOW_TRIMS,
    TooFewReadings,
    Trend,
    TrendCrossing,
    crossing,
    fit_trend,
    latest_stretch,
    levels_by_trim,
)
from tests.hoof.build import a_reading, after_trims, before_trims, the

TOE = QUANTITIES["toe_angle"]
TOE_LENGTH = QUANTITIES["toe_length"]
SHOD_FALL = 3.0 * 49 / 56


def full_cycles(levels, **changes):
    """An after-trim and a before-trim reading in each cycle, shod growth in between."""
    ends = [level - SHOD_FALL for level in levels]
    return after_trims(levels, **changes) + before_trims(ends, **changes)


def falling(rate=1.0, visits=8, start=56.0):
    return full_cycles([start - rate * visit for visit in range(visits)])


def trend_of(readings, quantity=TOE) -> Trend:
    trend = fit_trend(readings, quantity)
    assert isinstance(trend, Trend)
    return trend


@pytest.mark.parametrize("visits", [0, 1, 2])
def test_under_three_trims_it_is_too_early_to_say(visits):
    assert fit_trend(falling(visits=visits), TOE) == TooFewReadings(trims=visits, needed=3)


def test_many_readings_at_one_trim_are_still_one_trim():
    same_moment = [a_reading(value=50 + step, key=str(step)) for step in range(5)]
    assert fit_trend(same_moment, TOE) == TooFewReadings(trims=1, needed=3)


def test_a_fall_of_one_degree_a_visit_is_found_with_its_level():
    trend = trend_of(falling(rate=1.0))
    assert trend.rate_per_trim == pytest.approx(-1.0)
    assert trend.rate_low < -1 < trend.rate_high < 0
    assert trend.level == pytest.approx(49.0)
    assert trend.level_low < 49 < trend.level_high
    assert trend.change == pytest.approx(-7.0)
    assert trend.is_moving


def test_growth_alone_is_no_trend():
    trend = trend_of(before_trims([52 - SHOD_FALL] * 6))
    assert trend.rate_per_trim == pytest.approx(0)
    assert trend.level == pytest.approx(52)
    assert not trend.is_moving


def test_longer_intervals_alone_are_no_trend():
    readings, day = [], 0.0
    for trim, interval in enumerate([49, 49, 56, 63, 70, 77]):
        readings.append(a_reading(at_days=day, value=52, trim_index=trim))
        day += interval
        readings.append(
            a_reading(
                at_days=day,
                value=52 - 3.0 * interval / 56,
                trim_index=trim,
                days_since_trim=interval,
            )
        )
    assert trend_of(readings).rate_per_trim == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("visits", [3, 5, 12, 40])
def test_a_constant_foot_never_trends(visits):
    trend = trend_of(full_cycles([52.0] * visits))
    assert trend.rate_per_trim == pytest.approx(0, abs=1e-12)
    assert not trend.change_is_visible
    assert not trend.is_moving
    assert crossing(trend, 50, 54, 49) is None


def test_three_trims_in_line_are_not_taken_for_certain():
    trend = trend_of(falling(rate=1.0, visits=3))
    assert trend.rate_low < 0 < trend.rate_high
    assert not trend.is_moving


def test_a_change_under_the_measuring_error_is_not_visible():
    trend = trend_of(after_trims(np.linspace(52, 50, 9)))
    # Two gauge readings must differ by 2.77 deg: Weir, J Strength Cond Res 2005;19:231-240.
    assert trend.detectable_change == pytest.approx(2.7719, abs=1e-4)
    assert trend.change == pytest.approx(-2)
    assert not trend.change_is_visible
    assert trend_of(after_trims(np.linspace(52, 49, 9))).change_is_visible


def test_a_visible_change_with_a_doubtful_rate_is_not_moving():
    trend = trend_of(after_trims([52, 58, 49, 56]))
    assert replace(trend, change=9.0).change_is_visible
    assert not replace(trend, change=9.0).is_moving


def test_a_rising_foot_moves_too():
    assert trend_of(falling(rate=-1.0)).is_moving


def test_only_the_last_stretch_in_one_shoeing_state_counts():
    shod = full_cycles([56, 55, 54, 53])
    bare = [
        replace(
            reading,
            shoeing=Shoeing.BAREFOOT,
            trim_index=reading.trim_index + 4,
            at_days=reading.at_days + 200,
        )
        for reading in after_trims([50, 50, 50])
    ]
    trend = trend_of(shod + bare)
    assert trend.shoeing is Shoeing.BAREFOOT
    assert len(trend.levels) == 3
    assert trend.rate_per_trim == pytest.approx(0)
    assert fit_trend(shod + bare[:2], TOE) == TooFewReadings(trims=2, needed=3)


def test_going_back_to_shoes_starts_again():
    states = [Shoeing.SHOD, Shoeing.BAREFOOT, Shoeing.SHOD]
    readings = [
        replace(reading, shoeing=state)
        for reading, state in zip(after_trims([52, 50, 53]), states, strict=True)
    ]
    assert latest_stretch(readings) == readings[2:]


def test_a_level_weighs_its_readings_by_their_errors_and_growth():
    growth = Growth(-3.0, 0.8)
    careful = a_reading(value=52, sd=0.6)
    late = a_reading(value=48, sd=1.0, at_days=56, days_since_trim=56)
    (level,) = levels_by_trim([careful, late], growth)
    weights = [0.6**-2, 1 / (1 + 0.8**2)]
    assert level.value == pytest.approx(np.average([52, 51], weights=weights))
    assert level.sd == pytest.approx(sum(weights) ** -0.5)
    assert level.days_since_trim == pytest.approx(np.average([0, 56], weights=weights))
    assert (level.readings, level.trim_day, level.trim_index) == (2, 0, 0)


def test_what_is_not_known_of_the_growth_widens_the_level():
    known = trend_of(after_trims([52] * 6))
    unknown = trend_of(before_trims([52 - SHOD_FALL] * 6))
    assert unknown.level_high - unknown.level_low > 1.3 * (known.level_high - known.level_low)


def test_careful_readings_give_a_narrower_rate():
    careful, plain = (trend_of(after_trims([52] * 6, sd=sd)) for sd in (0.6, 1.5))
    assert careful.rate_high - careful.rate_low < plain.rate_high - plain.rate_low


def test_the_rate_interval_holds_the_true_rate_nineteen_times_in_twenty():
    rng = np.random.default_rng(1)
    held = 0
    for _ in range(300):
        levels = 52 - 0.5 * np.arange(8) + rng.normal(0, 0.7, 8)
        trend = trend_of(after_trims(levels + rng.normal(0, 1.0, 8)))
        held += trend.rate_low <= -0.5 <= trend.rate_high
    assert held / 300 >= 0.93


def test_the_order_of_entry_does_not_matter():
    readings = falling(rate=0.6)
    shuffled = random.Random(1).sample(readings, len(readings))
    assert fit_trend(shuffled, TOE) == fit_trend(readings, TOE)


def test_the_same_row_twice_counts_once_but_a_true_repeat_counts():
    readings = falling(rate=0.6)
    assert fit_trend(readings + readings, TOE) == fit_trend(readings, TOE)
    repeat = replace(readings[0], key="again")
    assert trend_of([*readings, repeat]).levels[0].readings == 3


def test_shifting_all_dates_changes_no_answer():
    readings = falling(rate=0.6)
    shifted = [replace(reading, at_days=reading.at_days + 7300) for reading in readings]
    here, there = trend_of(readings), trend_of(shifted)
    assert there.line == here.line
    assert there.growth == here.growth


def test_numbering_trims_from_elsewhere_changes_no_answer():
    readings = falling(rate=0.6)
    renumbered = [replace(reading, trim_index=reading.trim_index - 90) for reading in readings]
    assert trend_of(renumbered).line == trend_of(readings).line


def test_mirrored_barefoot_data_mirror_the_trend():
    bare = after_trims([52, 51.2, 51, 49.7, 50], shoeing=Shoeing.BAREFOOT)
    mirrored = [replace(reading, value=-reading.value) for reading in bare]
    here, there = trend_of(bare), trend_of(mirrored)
    assert there.rate_per_trim == pytest.approx(-here.rate_per_trim)
    assert (there.rate_low, there.level) == pytest.approx((-here.rate_high, -here.level))


def test_lengths_have_a_trend_in_millimetres():
    levels = [85 + 2 * visit for visit in range(8)]
    readings = after_trims(levels, sd=2.0)
    assert trend_of(readings, TOE_LENGTH).rate_per_trim == pytest.approx(2)


def test_ten_years_of_data_are_answered_from_the_last_two():
    levels = [60.0] * 60 + [52.0] * WINDOW_TRIMS
    trend = trend_of(full_cycles(levels))
    assert len(trend.levels) == WINDOW_TRIMS
    assert trend.rate_per_trim == pytest.approx(0, abs=1e-9)


def test_missing_trims_keep_their_place_in_the_count():
    readings = [reading for reading in falling(rate=1.0) if reading.trim_index not in (2, 3)]
    assert trend_of(readings).rate_per_trim == pytest.approx(-1.0)


def a_trend(rate, level=52.0, rate_sd=0.1, level_sd=0.3):
    line = StraightLine(level, rate, level_sd**2, rate_sd**2, 0.0, 1000)
    return replace(trend_of(after_trims([52] * 4)), line=line, rate_per_trim=rate, level=level)


def test_the_line_leaves_a_band_when_its_height_passes_the_edge():
    # 52 falling 0.5 a visit of 50 days passes 50 just after four visits.
    found = the(crossing(a_trend(-0.5), 50, 54, 50))
    assert (found.edge, found.likely_days) == ("low", 201)
    assert found.earliest_days < 201 < the(found.latest_days)


def test_the_range_of_dates_is_where_the_interval_passes_the_edge():
    found = the(crossing(a_trend(-0.5), 50, 54, 50))
    z = 1.2824  # t with 1000 degrees of freedom, 80 % two-sided
    for day, sign in ((found.earliest_days, -1), (the(found.latest_days), 1)):
        before, after = (
            52 - 0.5 * h + sign * z * math.sqrt(0.3**2 + (0.1 * h) ** 2)
            for h in ((day - 1) / 50, day / 50)
        )
        assert before >= 50 > after


def test_a_rising_line_leaves_by_the_high_edge():
    mirrored = the(crossing(a_trend(0.5), 50, 54, 50))
    straight = the(crossing(a_trend(-0.5), 50, 54, 50))
    assert mirrored == replace(straight, edge="high")


def test_an_uncertain_rate_has_no_latest_day():
    found = the(crossing(a_trend(-0.5, rate_sd=0.6), 50, 54, 50))
    assert found.latest_days is None


def test_a_level_already_outside_has_left_on_day_zero():
    found = the(crossing(a_trend(-0.5, level=49.0), 50, 54, 50))
    assert (found.earliest_days, found.likely_days, found.latest_days) == (0, 0, 0)


def test_a_foot_above_its_band_that_falls_through_it_is_outside_now():
    assert the(crossing(a_trend(-0.5, level=55.0), 50, 54, 50)).edge == "high"


def test_a_band_for_the_end_of_the_cycle_allows_for_the_growth_until_then():
    end_of_cycle = crossing(a_trend(-0.5), 47.5, 51.5, 50, moment_shift=-2.5)
    assert end_of_cycle == crossing(a_trend(-0.5), 50, 54, 50)


def test_open_bands_are_left_on_their_one_side_only():
    assert crossing(a_trend(-0.5), None, 54, 50) is None
    assert crossing(a_trend(0.5), 50, None, 50) is None
    assert crossing(a_trend(-0.5), 50, None, 50) == crossing(a_trend(-0.5), 50, 54, 50)


def test_a_slow_line_does_not_leave_within_two_years():
    assert crossing(a_trend(-0.05), 50, 54, 50) is None


def test_shorter_intervals_bring_the_day_nearer():
    assert the(crossing(a_trend(-0.5), 50, 54, 25)).likely_days == 101


@pytest.mark.parametrize("interval", [0, -7, math.nan, math.inf])
def test_a_visit_interval_is_more_than_nothing(interval):
    with pytest.raises(HoofError, match="visit interval"):
        crossing(a_trend(-0.5), 50, 54, interval)


def test_an_impossible_band_is_refused():
    with pytest.raises(BandImpossible):
        crossing(a_trend(-0.5), 54, 50, 50)


def test_a_crossing_carries_whole_days():
    found = the(crossing(trend_of(falling(rate=1.0)), 45, 60, 49))
    assert isinstance(found, TrendCrossing)
    assert found.likely_days == pytest.approx(4 * 49 + 1)
    assert all(isinstance(day, int) for day in (found.earliest_days, found.likely_days))
