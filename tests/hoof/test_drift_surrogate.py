"""The table of alarm limits: true to fresh simulations, and silent where it knows nothing.

`CASEBOARD_LIMIT_DESIGNS=60 uv run pytest -n 0 tests/hoof/test_drift_surrogate.py` is the long form.
"""

import os
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from measurements.hoof.drift import alarm
from measurements.hoof.drift.alarm import limits_of
from measurements.hoof.drift.arrays import PlannedChange
from measurements.hoof.drift.foot import FootSeries, prepare
from measurements.hoof.drift.limit_features import OF_ONE, OF_PAIR, look_features
from measurements.hoof.drift.limit_surrogate import fit_surrogate, learned_limits, surrogates
from measurements.hoof.drift.limits import alarm_limits, limits_from_paths
from measurements.hoof.quantities import Shoeing
from measurements.hoof.series import SeriesReading
from tests.bench.limit_check import Summary, fresh_feet, hold, summarise
from tests.hoof.build import a_series, after_trims

LONG = int(os.environ.get("CASEBOARD_LIMIT_DESIGNS", "0"))
DESIGNS, PATHS = (LONG, 16_000) if LONG else (8, 4_000)


@cache
def held(pair: bool) -> Summary:
    feet = fresh_feet(DESIGNS, pair=pair)
    return summarise(hold(foot, PATHS, number) for number, foot in enumerate(feet))


def a_toe(readings: list[SeriesReading], **options: Any) -> FootSeries:
    return prepare({"toe_angle": readings}, options.get("plans", {}), options.get("settled"))


def a_foot(readings: list[SeriesReading]) -> FootSeries:
    return prepare({"toe_angle": readings, "heel_angle": readings}, {}, None)


def learned(foot: FootSeries) -> np.ndarray:
    return learned_limits(foot.pair, foot.looks, 100.0)


@pytest.mark.parametrize("pair", [False, True], ids=["one quantity", "toe and heel"])
def test_the_limits_are_within_two_percent_of_big_fresh_simulations(pair: bool) -> None:
    assert held(pair).miss <= 0.02


@pytest.mark.parametrize("pair", [False, True], ids=["one quantity", "toe and heel"])
def test_false_alarms_on_fresh_designs_are_what_is_wanted(pair: bool) -> None:
    assert 0.9 <= held(pair).ratio <= 1.1


@pytest.mark.parametrize("pair", [False, True], ids=["one quantity", "toe and heel"])
def test_the_table_knows_nearly_all_designs_of_a_yard(pair: bool) -> None:
    assert held(pair).unknown <= 0.02 * held(pair).looks


def everyday_feet() -> Iterator[FootSeries]:
    changed = a_series(14)
    for index, row in enumerate(changed):
        if index >= 18:
            changed[index] = replace(row, by="another", shoeing=Shoeing.SHOD_WEDGE)
    yield a_toe(a_series(14))
    yield a_toe(changed)
    yield a_toe(a_series(12), plans={"toe_angle": [PlannedChange(200.0, 0.5, 4)]})
    yield a_toe(a_series(12), settled=200.0)
    yield a_toe(after_trims([52.0] * 9))
    yield a_toe(a_series(100))
    yield a_toe(a_series(12, sd=2.0, interval_days=30.0))
    yield a_foot(a_series(14))
    yield a_foot(a_series(30, sd=0.6))


@pytest.mark.parametrize("number", range(9))
def test_no_everyday_foot_has_to_be_simulated(number: int) -> None:
    foot = list(everyday_feet())[number]
    assert not np.isnan(learned(foot)).any()


def test_a_longer_series_has_exactly_the_same_limits_on_its_first_part() -> None:
    whole = a_series(14)
    assert learned(a_toe(whole))[:9] == pytest.approx(learned(a_toe(whole[:18])), abs=1e-9)


def test_limits_do_not_depend_on_values() -> None:
    moved = a_series(9, rate=2.0, noise=1.0)
    assert np.array_equal(learned(a_toe(moved)), learned(a_toe(a_series(9))))


def test_nothing_is_judged_before_the_third_visit() -> None:
    limits = learned(a_foot(a_series(6)))
    assert np.isinf(limits[:2]).all()
    assert np.isfinite(limits[2:]).all()


def test_a_careless_error_beyond_training_is_left_to_simulation() -> None:
    assert np.isnan(learned(a_toe(a_series(9, sd=6.0)))[2:]).all()


def test_another_rate_of_false_alarms_is_left_to_simulation() -> None:
    foot = a_toe(a_series(6))
    assert np.isnan(learned_limits(foot.pair, foot.looks, 50.0)[2:]).all()


def test_another_quantity_is_left_to_simulation() -> None:
    foot = prepare({"toe_length": a_series(6)}, {}, None)
    assert np.isnan(learned(foot)[2:]).all()


def test_toe_and_heel_with_trims_scaled_apart_are_left_to_simulation() -> None:
    foot = a_foot(a_series(6))
    toe, heel = foot.pair
    odd = replace(heel, prior=replace(heel.prior, trim_sd=2.0 * heel.prior.trim_sd))
    assert np.isnan(learned_limits((toe, odd), foot.looks, 100.0)[2:]).all()


def test_what_the_table_does_not_know_is_simulated_and_kept() -> None:
    foot = a_toe(a_series(5, sd=6.0))
    kept: dict[str, tuple[float, ...]] = {}
    limits = limits_of(foot, 100.0, kept)
    assert limits == pytest.approx(alarm_limits(foot.pair, foot.looks, 100.0))
    assert list(kept.values()) == [tuple(limits)]


def test_what_the_table_knows_is_neither_simulated_nor_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delattr(alarm, "alarm_limits")
    kept: dict[str, tuple[float, ...]] = {}
    assert np.isfinite(limits_of(a_toe(a_series(5)), 100.0, kept)[2:]).all()
    assert kept == {}


def test_a_reading_that_leaves_the_table_leaves_earlier_limits_alone() -> None:
    wild = replace(a_series(9)[-1], sd=40.0)
    before, after = (
        limits_of(a_toe(rows), 100.0, {}) for rows in (a_series(8), [*a_series(8), wild])
    )
    assert after[:8] == pytest.approx(before, abs=1e-9)


def test_paths_above_a_limit_that_stands_no_longer_count() -> None:
    paths = np.arange(1000.0)
    known = np.array([499.0, np.nan])
    limits = limits_from_paths(np.stack([paths, paths]), np.ones(2), 10.0, known)
    assert limits == pytest.approx([499.0, np.quantile(paths[:500], 0.9)])


def test_every_feature_is_named() -> None:
    for foot, names in ((a_toe(a_series(4)), OF_ONE), (a_foot(a_series(4)), OF_PAIR)):
        assert look_features(foot.pair, foot.looks).shape == (4, len(names))
        assert len(surrogates()[len(foot.pair)].mean) == len(names)


def test_a_fit_finds_a_quadratic_again() -> None:
    rng = np.random.default_rng(1)
    features = rng.normal(size=(400, 5))
    limits = features[:, 2] + np.exp(features[:, 3]) * (1 + features[:, 0] * features[:, 1])
    found = fit_surrogate(features, limits, 1e-6).limits(features)
    assert found == pytest.approx(limits, abs=1e-4)
