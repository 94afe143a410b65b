"""Alarm limits: seeded, prefix-consistent, at the wanted rate, and true to the real statistic."""

from dataclasses import replace

import numpy as np
import pytest

from measurements.hoof.drift.arrays import number_looks
from measurements.hoof.drift.evidence import log_sum_exp, onset_evidence, project
from measurements.hoof.drift.foot import FootSeries, limits_key, prepare
from measurements.hoof.drift.limits import (
    Judged,
    alarm_limits,
    limits_from_paths,
    simulate_residuals,
    simulate_statistics,
)
from measurements.hoof.drift.looks import (
    BETWEEN_PART,
    EARLY_SHARES,
    LATER_SHARE,
    onset_log_chances,
    visit_share,
)
from measurements.hoof.drift.model import drift_columns, variation_grid
from measurements.hoof.drift.priors import ONSET_KEEP
from measurements.hoof.quantities import TrimState
from measurements.hoof.series import SeriesReading
from tests.hoof.build import a_reading, a_series


def prepared(readings: list[SeriesReading]) -> FootSeries:
    return prepare({"toe_angle": readings}, {}, None)


def limits(readings: list[SeriesReading]) -> np.ndarray:
    foot = prepared(readings)
    return alarm_limits(foot.pair, foot.looks, 100.0)


def test_a_longer_series_has_the_same_limits_on_its_first_part() -> None:
    whole = a_series(14)
    assert limits(whole)[:9] == pytest.approx(limits(whole[:18]), abs=1e-3)


def test_the_same_dates_have_the_same_limits_whatever_the_values() -> None:
    assert np.array_equal(limits(a_series(7)), limits(a_series(7, rate=2.0, noise=1.0)))


def test_nothing_is_judged_before_the_third_visit() -> None:
    assert np.isinf(limits(a_series(6))[:2]).all()


def test_the_third_visit_is_judged() -> None:
    assert np.isfinite(limits(a_series(6))[2:]).all()


def test_drift_free_paths_alarm_at_the_allowed_rate() -> None:
    foot = prepared(a_series(12))
    statistics = simulate_statistics(foot.pair, foot.looks)
    alarm = statistics > alarm_limits(foot.pair, foot.looks, 50.0)[:, None]
    quiet_share = 1.0 - alarm.any(axis=0).mean()
    wanted = np.prod([1.0 - visit_share(visit) / 50.0 for visit in range(1, 13)])
    assert quiet_share == pytest.approx(wanted, abs=0.005)


@pytest.mark.parametrize("path", [0, 1, 1234])
def test_a_simulated_path_is_judged_exactly_as_real_readings_would_be(path: int) -> None:
    foot = prepared(a_series(9))
    judged = foot.pair[0]
    residual = simulate_residuals(judged, 0, 2000)[:, path].astype(np.float64)
    arrays = replace(judged.arrays, value=judged.arrays.mean + residual)
    columns = drift_columns(arrays.trim, np.arange(0, 9))
    grid = variation_grid(judged.prior)
    projections = project(arrays, columns, arrays.sd**2, grid)
    evidence = onset_evidence(projections, grid, judged.prior.drift_sd)
    expected = log_sum_exp(evidence + onset_log_chances(9, np.arange(0, 9)))
    found = simulate_statistics((Judged(arrays, judged.prior),), foot.looks)[-1, path]
    assert found == pytest.approx(float(expected), abs=2e-3)


def test_the_key_of_the_limits_ignores_values_and_sees_dates_and_errors() -> None:
    plain = limits_key(prepared(a_series(5)), 100.0)
    assert limits_key(prepared(a_series(5, noise=1.0)), 100.0) == plain
    assert limits_key(prepared(a_series(5, interval_days=50.0)), 100.0) != plain
    assert limits_key(prepared(a_series(5, sd=1.1)), 100.0) != plain
    assert limits_key(prepared(a_series(5)), 50.0) != plain


def test_a_reading_between_visits_takes_its_share_from_the_next_visit() -> None:
    between = a_reading(
        at_days=4 * 49.0 - 20.0, trim_index=3, days_since_trim=29.0, trim_state=TrimState.BETWEEN
    )
    looks = prepared([*a_series(6), between]).looks
    third, fourth, fifth, sixth = EARLY_SHARES[:4]
    taken = BETWEEN_PART * fifth
    assert looks.share == pytest.approx([0, 0, third, fourth, taken, fifth - taken, sixth])


def test_a_path_that_has_alarmed_no_longer_counts_for_later_limits() -> None:
    paths = np.arange(1000.0)
    statistics = np.stack([paths, paths])
    first, second = limits_from_paths(statistics, np.ones(2), 10.0)
    assert first == pytest.approx(np.quantile(paths, 0.9))
    assert second < first


def test_two_quantities_share_their_onset_and_have_limits_of_their_own() -> None:
    readings = a_series(6)
    both = prepare({"toe_angle": readings, "heel_angle": readings}, {}, None)
    assert alarm_limits(both.pair, both.looks, 100.0)[-1] != limits(readings)[-1]


def test_no_visit_uses_more_than_its_allowance() -> None:
    shares = [visit_share(visit) for visit in range(1, 40)]
    assert shares == sorted(shares)
    assert shares[-1] == LATER_SHARE < 1.0


def test_recent_onsets_are_likelier_beforehand() -> None:
    chances = onset_log_chances(9, np.array([3, 8]))
    assert chances == pytest.approx([6 * np.log(ONSET_KEEP), np.log(ONSET_KEEP)])


def test_readings_of_one_working_day_are_one_look() -> None:
    assert number_looks([0.0, 0.3, 0.7, 0.8, 49.0]).tolist() == [0, 0, 0, 1, 2]
