"""The dates of a forecast, from draws whose answer can be counted, and the rhythm of the trims."""

import math
from typing import Literal

import numpy as np
import pytest

from measurements.hoof.drift.forecast import (
    HORIZON_DAYS,
    Crossing,
    Outlook,
    VisitRhythm,
    crossing,
    rhythm_of,
)
from measurements.hoof.drift.verdict import forecast
from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Moment
from tests.hoof.build import a_series, toe

EVEN = VisitRhythm(last_trim_days=100.0, interval_days=50.0, interval_sd_days=0.0)
UNEVEN = VisitRhythm(last_trim_days=100.0, interval_days=50.0, interval_sd_days=10.0)
FEET = 1000


def outlook(cycles_left: np.ndarray, growth: float = 0.0) -> Outlook:
    """Feet at 50 that fall to 46 in so many cycles each."""
    count = len(cycles_left)
    return Outlook(np.full(count, 50.0), -4.0 / cycles_left, np.full(count, growth))


def left(
    feet: Outlook,
    rhythm: VisitRhythm = EVEN,
    edge: Literal["low", "high"] = "low",
    value: float = 46.0,
    moment: Moment = Moment.AFTER_TRIM,
) -> Crossing:
    return crossing(feet, rhythm, edge, value, moment)


# A thousand feet that leave evenly between now and ten cycles ahead.
SPREAD = outlook(np.arange(1, FEET + 1) / 100.0)


def test_the_likely_day_is_the_middle_of_the_feet() -> None:
    assert left(SPREAD).likely_days == pytest.approx(100.0 + 5.0 * 50.0, abs=1.0)


def test_the_range_begins_where_three_in_a_hundred_have_left() -> None:
    """Early, because a fast drift is understated when it has just been found."""
    assert left(SPREAD).earliest_days == pytest.approx(100.0 + 0.3 * 50.0, abs=1.0)


def test_the_range_ends_a_visit_after_nine_in_ten_have_left() -> None:
    assert left(SPREAD).latest_days == pytest.approx(100.0 + 9.0 * 50.0 + 50.0, abs=1.0)


def test_what_most_feet_never_do_has_no_date() -> None:
    few = Outlook(np.full(FEET, 50.0), np.where(np.arange(FEET) < 400, -1.0, 0.0), np.zeros(FEET))
    found = left(few)
    assert (found.chance, found.likely_days, found.latest_days) == (0.4, None, None)
    assert found.earliest_days == 100.0 + 4 * 50.0


def test_a_range_without_end_has_a_likely_day_all_the_same() -> None:
    most = Outlook(np.full(FEET, 50.0), np.where(np.arange(FEET) < 800, -1.0, 0.0), np.zeros(FEET))
    assert left(most).likely_days == 100.0 + 4 * 50.0
    assert left(most).latest_days is None


@pytest.mark.parametrize(("days", "chance"), [(HORIZON_DAYS - 1, 1.0), (HORIZON_DAYS + 1, 0.0)])
def test_two_years_ahead_nothing_is_said(days: float, chance: float) -> None:
    assert left(outlook(np.full(FEET, days / 50.0))).chance == chance


def test_days_that_vary_make_the_range_wider() -> None:
    """Four cycles whose days vary by 10: by 20 in all, so 3 % come 37.6 days early."""
    feet = outlook(np.full(100_000, 4.0))
    found = left(feet, UNEVEN)
    assert found.earliest_days == pytest.approx(100.0 + 200.0 - 1.8808 * 20.0, abs=0.6)
    assert found.latest_days == pytest.approx(100.0 + 200.0 + 1.2816 * 20.0 + 50.0, abs=0.6)


def test_a_part_of_a_cycle_varies_by_that_part_of_its_days() -> None:
    feet = outlook(np.full(100_000, 0.25))
    found = left(feet, UNEVEN)
    assert found.earliest_days == pytest.approx(100.0 + 12.5 - 1.8808 * 2.5, abs=0.1)


def test_a_foot_that_is_outside_leaves_now() -> None:
    found = left(SPREAD, value=51.0)
    assert (found.outside_chance, found.earliest_days, found.likely_days) == (1.0, 100.0, 100.0)


def test_a_foot_exactly_on_its_edge_is_outside() -> None:
    resting = Outlook(np.full(FEET, 50.0), np.zeros(FEET), np.zeros(FEET))
    found = left(resting, value=50.0)
    assert (found.outside_chance, found.chance, found.likely_days) == (1.0, 1.0, 100.0)


def test_a_foot_that_goes_the_other_way_never_leaves() -> None:
    assert left(SPREAD, edge="high", value=54.0).chance == 0.0


def test_at_the_end_of_the_cycle_growth_has_brought_the_edge_nearer() -> None:
    # 50 days of growth at -2.8 in 56 take 2.5 of the 4 degrees: 0.375 of the cycles are left.
    feet = outlook(np.full(FEET, 4.0), growth=-2.8)
    found = left(feet, moment=Moment.END_OF_CYCLE)
    assert found.likely_days == pytest.approx(100.0 + 50.0 + 1.5 * 50.0)


@pytest.mark.parametrize("growth", [-2.8, 2.8])
def test_at_any_time_the_nearer_end_of_the_cycle_counts(growth: float) -> None:
    feet = outlook(np.full(FEET, 4.0), growth=growth)
    nearer = Moment.END_OF_CYCLE if growth < 0 else Moment.AFTER_TRIM
    assert left(feet, moment=Moment.ANY_TIME) == left(feet, moment=nearer)


def test_the_likelier_edge_is_named_first() -> None:
    falling, rising = (toe(a_series(14, rate=rate, noise=0.7, seed=2)) for rate in (-0.8, 0.8))
    assert [each.edge for each in forecast(falling, "toe_angle", 43.0, 61.0)] == ["low", "high"]
    assert [each.edge for each in forecast(rising, "toe_angle", 43.0, 61.0)] == ["high", "low"]


@pytest.mark.parametrize("edge", [math.nan, math.inf])
def test_an_edge_that_is_none_is_refused(edge: float) -> None:
    with pytest.raises(HoofError):
        left(SPREAD, value=edge)


def rhythm(trims: list[int], days: list[float]) -> VisitRhythm:
    return rhythm_of(np.array(trims), np.array(days))


def test_the_rhythm_is_the_mean_of_the_gaps() -> None:
    found = rhythm([0, 1, 2], [0.0, 40.0, 100.0])
    assert (found.last_trim_days, found.interval_days) == (100.0, 50.0)


def test_gaps_vary_about_their_mean_as_three_more_of_ten_days_would() -> None:
    found = rhythm([0, 1, 2], [0.0, 40.0, 100.0])
    assert found.interval_sd_days == pytest.approx(math.sqrt((300.0 + 200.0) / 5))


def test_missed_trims_are_cycles_of_the_same_length() -> None:
    assert rhythm([0, 1, 4], [0.0, 50.0, 200.0]).interval_days == 50.0


def test_the_days_of_three_cycles_in_one_vary_three_times_as_much() -> None:
    """30 days more over three cycles say as much as 17.3 over one."""
    found = rhythm([0, 1, 4, 5], [0.0, 44.0, 224.0, 270.0])
    interval = 270.0 / 5
    squares = (44 - interval) ** 2 + (180 - 3 * interval) ** 2 / 3 + (46 - interval) ** 2
    assert found.interval_days == interval
    assert found.interval_sd_days == pytest.approx(math.sqrt((300.0 + squares) / 6))


def test_only_the_last_eight_gaps_count() -> None:
    old = [0.0, 200.0, 400.0]
    days = old + [400.0 + 40.0 * n for n in range(1, 9)]
    assert rhythm(list(range(11)), days).interval_days == 40.0


def test_before_a_second_trim_the_usual_rhythm_stands() -> None:
    found = rhythm([3], [70.0])
    assert (found.last_trim_days, found.interval_days, found.interval_sd_days) == (70.0, 49.0, 14.0)
