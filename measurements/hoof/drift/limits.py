"""Alarm limits on a series' own dates: how high the evidence climbs when nothing drifts.

Drift-free paths are simulated on exactly these readings (dates, trims, methods), judged like the
real ones, and the limit at each look is the quantile that lets the wanted share of the paths
alarm among those that have not alarmed yet. A table by visit number would not do: a series that
lacks one reading has other limits. The random numbers belong to the trim, the reading and the
column they describe, so a longer series has the same limits on its first part.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.drift.arrays import Floats, Ints, SeriesArrays
from measurements.hoof.drift.hands import STEP_SHARE
from measurements.hoof.drift.looks import Looks, onset_log_chances, onsets_at
from measurements.hoof.drift.model import covariance, drift_columns, step_columns, variation_grid
from measurements.hoof.drift.priors import (
    ONSETS_CONSIDERED,
    SECOND_TRIM_SCALE,
    SHARED_TRIM,
    DriftPrior,
)

PATHS = 2000  # house default: the share that alarms at one look is then known to about a fifth
PAIR_PATHS = 6000  # a pair's goals lie closer together: to about an eighth
SEED = 20_250_101  # any number, but always the same: equal readings give equal limits

Singles = NDArray[np.float32]

_COLUMN_STREAMS = {"level": 0, "growth": 1, "offset": 2, "plan": 3}
_TRIM_STREAM = 4
_ERROR_STREAM = 5
_BLOCK = 250  # paths worked on at a time: what a core's own cache holds
_LARGEST_LOG = 80.0  # exp of it still fits a single


@dataclass(frozen=True)
class Judged:
    """One quantity as it enters a judgement: its arrays and priors. `trim_scale`: how many times as
    much as the prior says its trims are taken to vary while a drift is looked for."""

    arrays: SeriesArrays
    prior: DriftPrior
    trim_scale: float = 1.0


@dataclass(frozen=True)
class Chance:
    """Which random numbers: of how many paths, from which seed."""

    paths: int
    seed: int = SEED


@lru_cache(maxsize=2048)
def _normals(quantity: int, stream: int, index: int, chance: Chance) -> Singles:
    generator = np.random.default_rng((chance.seed, quantity, stream, index))
    return generator.standard_normal(chance.paths, dtype=np.float32)


def _trim_normals(quantity: int, trim: int, chance: Chance) -> Singles:
    """How a trim leaves a quantity: one trim leaves both angles of a foot, so they share a part."""
    first = _normals(0, _TRIM_STREAM, trim, chance)
    if quantity == 0:
        return first
    own = np.sqrt(1.0 - SHARED_TRIM**2) * _normals(quantity, _TRIM_STREAM, trim, chance)
    shared: Singles = (SECOND_TRIM_SCALE * (SHARED_TRIM * first + own)).astype(np.float32)
    return shared


def simulate_residuals(judged: Judged, quantity: int, paths: int, seed: int = SEED) -> Singles:
    """Drift-free residuals on these readings, one column per path; `quantity`: its place in a pair."""
    chance = Chance(paths, seed)
    arrays = judged.arrays
    columns = [
        _normals(quantity, _COLUMN_STREAMS[kind], index, chance)
        for kind, index in zip(arrays.column_kind, arrays.column_index, strict=True)
    ]
    scaled = (arrays.design * arrays.design_sd).astype(np.float32)
    trims = np.stack([_trim_normals(quantity, int(c), chance) for c in arrays.trim])
    errors = np.stack(
        [_normals(quantity, _ERROR_STREAM, i, chance) for i in range(len(arrays.trim))]
    )
    shared = scaled @ np.stack(columns) + np.float32(judged.prior.trim_sd) * trims
    noisy: Singles = shared + arrays.sd.astype(np.float32)[:, None] * errors
    return noisy


class _Window:
    """The readings of one quantity within one window of trims, ready for any number of paths."""

    def __init__(self, judged: Judged, rows: Ints, onsets: Ints, hand_onsets: Ints) -> None:
        self.grid = variation_grid(judged.prior, judged.trim_scale)
        self.change_sd, self.step_sd = judged.prior.drift_sd, judged.prior.step_sd
        self.rows = rows
        self.onsets = onsets
        part = judged.arrays.choose(rows)
        self.look = part.look
        self.last_trim = np.maximum.accumulate(part.trim)
        spreads = [
            covariance(part, trim_sd, (scale * part.sd) ** 2)
            for trim_sd, scale in zip(self.grid.trim_sd, self.grid.error_scale, strict=True)
        ]
        # Whitened with the inverse root, readings in time order: its upper left corner is that of
        # a shorter series. The inverse is safe here: V is far from singular.
        roots = np.linalg.cholesky(np.stack(spreads))
        self.inverse = np.linalg.inv(roots).astype(np.float32)
        self.columns = self.inverse @ drift_columns(part.trim, onsets).astype(np.float32)
        self.steps = self.inverse @ step_columns(part.trim, hand_onsets).astype(np.float32)
        self.log_scale = np.log(np.diagonal(roots, axis1=1, axis2=2)).astype(np.float32)


class _Running:
    """The evidence of one quantity as its readings come in, over a block of paths."""

    def __init__(self, window: _Window, residuals: Singles) -> None:
        self.window = window
        self.white_paths = window.inverse @ residuals[window.rows]
        points, _, onsets = window.columns.shape
        paths = residuals.shape[1]
        self.score = np.zeros((points, onsets, paths), dtype=np.float32)
        self.information = np.zeros((points, onsets), dtype=np.float32)
        hands = window.steps.shape[2]
        self.step_score = np.zeros((points, hands, paths), dtype=np.float32)
        self.step_information = np.zeros((points, hands), dtype=np.float32)
        self.log_likelihood = np.tile(window.grid.log_weight[:, None], paths).astype(np.float32)
        self.taken = 0

    def take_up_to(self, look: int) -> None:
        """Adds the readings of all looks up to this one."""
        new = slice(self.taken, int(np.searchsorted(self.window.look, look, side="right")))
        self.taken = new.stop
        if new.start == new.stop:
            return
        # A column says nothing before its onset, and an onset too far back is not asked for again.
        reached = self.window.last_trim[new.stop - 1]
        oldest, newest = np.searchsorted(
            self.window.onsets, (reached - ONSETS_CONSIDERED, reached), side="left"
        )
        asked = slice(int(oldest), int(newest))
        columns, paths = self.window.columns[:, new, asked], self.white_paths[:, new]
        self.score[:, asked] += columns.transpose(0, 2, 1) @ paths
        self.information[:, asked] += np.square(columns).sum(axis=1)
        if self.window.steps.shape[2]:
            steps = self.window.steps[:, new]
            self.step_score += steps.transpose(0, 2, 1) @ paths
            self.step_information += np.square(steps).sum(axis=1)
        self.log_likelihood -= np.float32(0.5) * np.square(paths).sum(axis=1)
        self.log_likelihood -= self.window.log_scale[:, new].sum(axis=1)[:, None]

    def factors(self, chosen: slice) -> Singles:
        """Bayes factors of the chosen onsets, averaged over the grid: onsets by paths."""
        return self._averaged(
            self.score[:, chosen], self.information[:, chosen], self.window.change_sd
        )

    def step_factors(self, chosen: Ints) -> Singles:
        """The same of a sudden change at the chosen of the window's changes of hands."""
        return self._averaged(
            self.step_score[:, chosen], self.step_information[:, chosen], self.window.step_sd
        )

    def _averaged(self, score: Singles, information: Singles, change_sd: float) -> Singles:
        variance = np.float32(change_sd**2)
        gain = 1.0 + variance * information
        powers = np.square(score)
        powers *= (variance / (2.0 * gain))[:, :, None]
        powers -= (0.5 * np.log(gain))[:, :, None]
        np.minimum(powers, _LARGEST_LOG, out=powers)
        np.exp(powers, out=powers)
        weights = np.exp(self.log_likelihood - self.log_likelihood.max(axis=0))
        powers *= (weights / weights.sum(axis=0))[:, None, :]
        total: Singles = powers.sum(axis=0)
        return total


def paths_for(pair: Sequence[Judged]) -> int:
    """How many paths the limits of one quantity, or of two judged together, are taken from."""
    return PATHS if len(pair) == 1 else PAIR_PATHS


def simulate_statistics(
    pair: Sequence[Judged], looks: Looks, paths: int | None = None, seed: int = SEED
) -> Floats:
    """The statistic of every drift-free path at every judged look (looks by paths)."""
    paths = paths_for(pair) if paths is None else paths
    statistics = np.full((len(looks), paths), -np.inf)
    residuals = [
        simulate_residuals(judged, index, paths, seed) for index, judged in enumerate(pair)
    ]
    for start in np.unique(looks.window_start):
        _simulate_window(pair, residuals, looks, int(start), statistics)
    return statistics


def _simulate_window(
    pair: Sequence[Judged], residuals: Sequence[Singles], looks: Looks, start: int, out: Floats
) -> None:
    members = np.flatnonzero((looks.window_start == start) & (looks.share > 0))
    earliest = max(start, max(judged.arrays.first_onset for judged in pair))
    latest = int(looks.last_trim[members].max(initial=earliest))
    if latest == earliest:
        return
    onsets = np.arange(earliest, latest, dtype=np.int64)
    hands = [looks.hand_onsets_at(int(m), onsets).onsets for m in members]
    hand_onsets = np.unique(np.concatenate(hands))
    windows = []
    for judged in pair:
        arrays = judged.arrays
        rows = np.flatnonzero((arrays.trim >= start) & (arrays.look <= members[-1]))
        windows.append(_Window(judged, rows, onsets, hand_onsets))
    asked = [_asked_at(looks, int(member), start, earliest, hand_onsets) for member in members]
    for begin in range(0, out.shape[1], _BLOCK):
        block = slice(begin, begin + _BLOCK)
        running = [_Running(w, r[:, block]) for w, r in zip(windows, residuals, strict=True)]
        for member, onsets_asked in zip(members, asked, strict=True):
            for each in running:
                each.take_up_to(int(member))
            out[member, block] = (
                -np.inf if onsets_asked is None else _statistic(running, onsets_asked)
            )


@dataclass(frozen=True)
class _Asked:
    """What a look sums over: the onsets (`chosen`, places in the window) with their `chances`; of
    these the places of changes of hands (`hands`, with their `hand_chances`), and the same among
    the window's step columns (`steps`)."""

    chosen: slice
    chances: Floats
    hands: Ints
    hand_chances: Floats
    steps: Ints


def _asked_at(
    looks: Looks, look: int, start: int, earliest: int, hand_onsets: Ints
) -> _Asked | None:
    """What is asked at a look; `None` when no onset is."""
    last_trim = int(looks.last_trim[look])
    onsets = onsets_at(last_trim, start, earliest)
    if not len(onsets):
        return None
    hands = looks.hand_onsets_at(look, onsets)
    return _Asked(
        chosen=slice(int(onsets[0]) - earliest, int(onsets[-1]) + 1 - earliest),
        chances=np.exp(onset_log_chances(last_trim, onsets)),
        hands=np.searchsorted(onsets, hands.onsets),
        hand_chances=np.exp(hands.log_chances),
        steps=np.searchsorted(hand_onsets, hands.onsets),
    )


def _statistic(running: Sequence[_Running], asked: _Asked) -> Floats:
    """The log of the weighted sum over onsets of the product over quantities, per path."""
    drifts = _product([each.factors(asked.chosen) for each in running])
    total = asked.chances @ drifts
    if len(asked.hands):
        steps = _product([each.step_factors(asked.steps) for each in running])
        both = (1.0 - STEP_SHARE) * drifts[asked.hands] + STEP_SHARE * steps
        total = total + asked.hand_chances @ both
    return np.asarray(np.log(total))


def _product(factors: Sequence[Singles]) -> Floats:
    product = factors[0].astype(np.float64)
    for each in factors[1:]:
        product *= each
    return product


def limits_from_paths(
    statistics: Floats,
    share: Floats,
    visits_per_false_alarm: float,
    known: Floats | None = None,
) -> Floats:
    """The limit at each look so that among paths still quiet the wanted share alarms there.

    `share` of the allowance 1/`visits_per_false_alarm` at each look; infinite where it is 0.
    `known`: limits that stand already, not a number where one is wanted.
    """
    limits = np.full(len(share), np.inf)
    quiet = np.ones(statistics.shape[1], dtype=np.bool_)
    for look in np.flatnonzero(share > 0):
        here = statistics[look, quiet]
        if known is not None and not np.isnan(known[look]):
            limits[look] = known[look]
        elif np.isfinite(here).any():
            limits[look] = np.quantile(here, 1.0 - share[look] / visits_per_false_alarm)
        quiet &= statistics[look] <= limits[look]
    return limits


def alarm_limits(
    pair: Sequence[Judged],
    looks: Looks,
    visits_per_false_alarm: float,
    known: Floats | None = None,
) -> Floats:
    """The alarm limit at every look of a series, or of a toe and heel pair judged together;
    `known` as in `limits_from_paths`."""
    statistics = simulate_statistics(pair, looks)
    return limits_from_paths(statistics, looks.share, visits_per_false_alarm, known)
