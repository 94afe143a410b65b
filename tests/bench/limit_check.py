"""How well the surrogate's limits hold on fresh designs, against large fresh simulations."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from measurements.hoof.drift.foot import FootSeries
from measurements.hoof.drift.limit_surrogate import learned_limits
from measurements.hoof.drift.limits import limits_from_paths, simulate_statistics
from measurements.hoof.drift.looks import Looks
from measurements.hoof.drift.priors import VISITS_PER_FALSE_ALARM
from tests.bench.limit_designs import random_foot

_FRESH = 900_000  # seeds from here on were never trained on


@dataclass(frozen=True)
class Held:
    """One design: `miss` and `noise` are squared (deg of the statistic), by judged look that the
    table knows; `alarms` against `wanted` are shares of paths; `unknown` looks had to be simulated."""

    limits: np.ndarray
    miss: np.ndarray
    noise: np.ndarray
    alarms: float
    wanted: float
    unknown: int


@dataclass(frozen=True)
class Summary:
    """Over designs: `miss` is the RMS error over the mean limit, the simulation's own noise taken
    out; `ratio` the false alarms over those wanted, with its SD over designs."""

    miss: float
    ratio: float
    ratio_sd: float
    unknown: int
    looks: int


def fresh_feet(count: int, *, pair: bool) -> Iterable[FootSeries]:
    """Feet that the table was not fitted to, the same for the same count."""
    for number in range(count):
        yield random_foot(np.random.default_rng((_FRESH, int(pair), number)), pair=pair)


def hold(foot: FootSeries, paths: int, seed: int) -> Held:
    """The table's limits beside those of two independent simulations of so many paths each."""
    learned = learned_limits(foot.pair, foot.looks, VISITS_PER_FALSE_ALARM)
    both = [
        simulate_statistics(foot.pair, foot.looks, paths, _FRESH + 2 * seed + k) for k in (0, 1)
    ]
    first, second = (
        limits_from_paths(each, foot.looks.share, VISITS_PER_FALSE_ALARM) for each in both
    )
    known = np.isfinite(learned) & np.isfinite(first) & np.isfinite(second)
    everything = np.concatenate(both, axis=1)
    alarms, wanted = _false_alarms(everything, learned, known, foot.looks)
    return Held(
        limits=0.5 * (first + second)[known],
        miss=np.square(learned[known] - 0.5 * (first[known] + second[known])),
        noise=np.square(0.5 * (first[known] - second[known])),
        alarms=alarms,
        wanted=wanted,
        unknown=int(np.isnan(learned).sum()),
    )


def _false_alarms(
    statistics: np.ndarray, limits: np.ndarray, known: np.ndarray, looks: Looks
) -> tuple[float, float]:
    """The share of paths that alarm at a known look, and the share that should."""
    alarms = (statistics > limits[:, None]) & known[:, None]
    chances = looks.share[known] / VISITS_PER_FALSE_ALARM
    return float(alarms.any(axis=0).mean()), float(1.0 - np.prod(1.0 - chances))


def summarise(held: Iterable[Held]) -> Summary:
    """One figure of each kind over all designs."""
    told = list(held)
    limits, miss, noise = (
        np.concatenate([getattr(each, name) for each in told])
        for name in ("limits", "miss", "noise")
    )
    known = [each for each in told if each.wanted > 0]
    ratios = [each.alarms / each.wanted for each in known]
    total = sum(each.alarms for each in known) / sum(each.wanted for each in known)
    return Summary(
        miss=float(np.sqrt(max(0.0, miss.mean() - noise.mean())) / limits.mean()),
        ratio=total,
        ratio_sd=float(np.std(ratios)),
        unknown=sum(each.unknown for each in told),
        looks=len(limits),
    )
