"""All looks at once, against the readings of one look after the other."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from measurements.hoof.drift.evidence import onset_evidence
from measurements.hoof.drift.foot import FootSeries
from measurements.hoof.drift.hands import STEP_SHARE
from measurements.hoof.drift.look_statistics import statistics_by_look
from measurements.hoof.drift.looks import onset_log_chances
from measurements.hoof.drift.replay import fits_at
from measurements.hoof.drift.weights import inflation_by_look, robust_weights
from tests.bench.limit_designs import random_foot

FEET = 12


def feet(*, wild: float) -> Iterator[FootSeries]:
    """Feet of every kind with values: noise, and now and then a reading that is far off."""
    for number in range(FEET):
        rng = np.random.default_rng((77, number))
        foot = random_foot(rng, pair=number % 2 == 1)
        pair = []
        for judged in foot.pair:
            arrays = judged.arrays
            size = len(arrays.value)
            noise = rng.normal(0.0, 1.2, size) + (rng.random(size) < wild) * rng.normal(0, 9, size)
            pair.append(replace(judged, arrays=replace(arrays, value=arrays.mean + noise)))
        yield replace(foot, pair=tuple(pair))


def statistic_at(foot: FootSeries, look: int) -> float:
    """S as its definition says: a sum over the onsets of one look, written out."""
    fits = [fit for fit in fits_at(foot.pair, foot.looks, look) if fit is not None]
    if not fits or not len(fits[0].onsets):
        return -np.inf
    drifts = np.sum(
        [onset_evidence(f.projections, f.grid, f.part.prior.drift_sd) for f in fits], axis=0
    )
    steps = np.sum([onset_evidence(f.steps, f.grid, f.part.prior.step_sd) for f in fits], axis=0)
    chances = onset_log_chances(int(foot.looks.last_trim[look]), fits[0].onsets)
    total = sum(np.exp(drifts + chances))
    for place, (onset, chance) in enumerate(
        zip(fits[0].hands.onsets, fits[0].hands.log_chances, strict=True)
    ):
        drift = drifts[list(fits[0].onsets).index(onset)]
        both = (1 - STEP_SHARE) * np.exp(drift) + STEP_SHARE * np.exp(steps[place])
        total += np.exp(chance) * both
    return float(np.log(total))


@pytest.mark.parametrize("wild", [0.0, 0.1])
def test_all_looks_at_once_say_what_each_look_says(wild: float) -> None:
    for foot in feet(wild=wild):
        found = statistics_by_look(foot.pair, foot.looks)
        for look in np.flatnonzero(foot.looks.share > 0):
            assert found[look] == pytest.approx(statistic_at(foot, int(look)), abs=1e-9)


def test_readings_are_doubted_at_each_look_as_if_it_were_the_last() -> None:
    doubted = 0
    for foot in feet(wild=0.15):
        for judged in foot.pair:
            arrays, count = judged.arrays, len(judged.arrays.trim)
            taken = np.arange(count + 1)
            hands = [np.array([2, 3]) if n % 3 else np.zeros(0, dtype=np.int64) for n in taken]
            found = inflation_by_look(arrays, judged.prior, taken, hands)
            for place in taken:
                part = arrays.choose(np.arange(place))
                wanted = robust_weights(part, judged.prior, hands[place]).inflation
                assert found[place, :place] == pytest.approx(wanted, rel=1e-6)
                assert (found[place, place:] == 1.0).all()
                doubted += int((wanted > 1.0).sum() > 1)
    assert doubted > 50  # looks with several readings in doubt at once


def test_looks_after_the_first_alarm_are_left_out() -> None:
    foot = max(feet(wild=0.0), key=lambda foot: len(foot.looks))
    everything = statistics_by_look(foot.pair, foot.looks)
    judged = np.flatnonzero(np.isfinite(everything))
    limits = np.full(len(foot.looks), np.inf)
    limits[judged[3]] = everything[judged[3]] - 1.0
    stopped = statistics_by_look(foot.pair, foot.looks, limits)
    assert np.array_equal(stopped[: judged[3] + 1], everything[: judged[3] + 1])
    assert np.isinf(stopped[judged[3] + 1 :]).all()
