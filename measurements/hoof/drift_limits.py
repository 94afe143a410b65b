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
from scipy.linalg import solve_triangular

from measurements.hoof.drift_arrays import Floats, Ints, SeriesArrays
from measurements.hoof.drift_looks import Looks, onsets_at
from measurements.hoof.drift_model import covariance, drift_columns, variation_grid
from measurements.hoof.drift_priors import DriftPrior

PATHS = 2000  # house default: the share that alarms at one look is then known to about a fifth
SEED = 20_250_101  # any number, but always the same: equal readings give equal limits

# Share of the allowance that the limits use up. The rest covers what the simulated paths leave
# out: wild readings, and errors larger than stated. House default, checked by the benchmark.
ALLOWANCE_USED = 0.85

Singles = NDArray[np.float32]

_COLUMN_STREAMS = {"level": 0, "growth": 1, "offset": 2, "plan": 3}
_TRIM_STREAM = 4
_ERROR_STREAM = 5
_LARGEST_LOG = 80.0  # exp of it still fits a single


@dataclass(frozen=True)
class Judged:
    """One quantity as it enters a judgement: its arrays and priors."""

    arrays: SeriesArrays
    prior: DriftPrior


@lru_cache(maxsize=4096)
def _normals(quantity: int, stream: int, index: int, paths: int) -> Singles:
    generator = np.random.default_rng((SEED, quantity, stream, index))
    return generator.standard_normal(paths, dtype=np.float32)


def simulate_residuals(judged: Judged, quantity: int, paths: int) -> Singles:
    """Drift-free residuals on these readings, one column per path."""
    arrays = judged.arrays
    columns = [
        _normals(quantity, _COLUMN_STREAMS[kind], index, paths)
        for kind, index in zip(arrays.column_kind, arrays.column_index, strict=True)
    ]
    scaled = (arrays.design * arrays.design_sd).astype(np.float32)
    trims = np.stack([_normals(quantity, _TRIM_STREAM, int(c), paths) for c in arrays.trim])
    errors = np.stack(
        [_normals(quantity, _ERROR_STREAM, i, paths) for i in range(len(arrays.trim))]
    )
    shared = scaled @ np.stack(columns) + np.float32(judged.prior.trim_sd) * trims
    noisy: Singles = shared + arrays.sd.astype(np.float32)[:, None] * errors
    return noisy


def _solve(root: Singles, right: Singles) -> Singles:
    """L^-1 times the columns; nothing to solve for a quantity without readings yet."""
    if not len(root):
        return right
    solved = solve_triangular(root, right, lower=True, check_finite=False)
    return solved.astype(np.float32, copy=False)


class _Window:
    """The running evidence of one quantity over all paths, within one window of trims."""

    def __init__(self, judged: Judged, residuals: Singles, rows: Ints, onsets: Ints) -> None:
        self.grid = variation_grid(judged.prior)
        self.change_sd = judged.prior.drift_sd
        arrays = judged.arrays
        part = SeriesArrays(
            **{**arrays.__dict__, **{n: getattr(arrays, n)[rows] for n in ("design", "trim")}}
        )
        columns = drift_columns(arrays.trim[rows], onsets)
        whitened = [
            self._whiten(part, columns, residuals[rows], point)
            for point in range(len(self.grid.trim_sd))
        ]
        self.white_columns = np.stack([item[0] for item in whitened])
        self.white_paths = np.stack([item[1] for item in whitened])
        self.log_scale = np.stack([item[2] for item in whitened])
        points, paths = self.white_paths.shape[0], self.white_paths.shape[2]
        self.score = np.zeros((points, len(onsets), paths), dtype=np.float32)
        self.information = np.zeros((points, len(onsets)))
        self.log_likelihood = np.repeat(self.grid.log_weight[:, None], paths, axis=1).astype(
            np.float32
        )

    def _whiten(
        self, part: SeriesArrays, columns: Floats, residuals: Singles, point: int
    ) -> tuple[Singles, Singles, Floats]:
        error_variance = (self.grid.error_scale[point] * part.sd) ** 2
        root = np.linalg.cholesky(covariance(part, self.grid.trim_sd[point], error_variance))
        single = root.astype(np.float32)
        return (
            _solve(single, columns.astype(np.float32)),
            _solve(single, residuals),
            np.log(np.diag(root)),
        )

    def take(self, start: int, stop: int) -> None:
        """Adds the readings start..stop (places within the window)."""
        if start == stop:
            return
        columns, paths = self.white_columns[:, start:stop], self.white_paths[:, start:stop]
        self.score += columns.transpose(0, 2, 1) @ paths
        self.information += (columns.astype(np.float64) ** 2).sum(axis=1)
        self.log_likelihood -= np.float32(0.5) * (paths * paths).sum(axis=1)
        self.log_likelihood -= self.log_scale[:, start:stop].sum(axis=1).astype(np.float32)[:, None]

    def factors(self, chosen: slice) -> Singles:
        """Bayes factors of the chosen onsets, averaged over the grid: onsets by paths."""
        gain = 1.0 + self.change_sd**2 * self.information[:, chosen]
        half = (self.change_sd**2 / (2.0 * gain)).astype(np.float32)
        start = (-0.5 * np.log(gain)).astype(np.float32)
        weights = np.exp(self.log_likelihood - self.log_likelihood.max(axis=0))
        weights /= weights.sum(axis=0)
        total: Singles = np.zeros(self.score[0, chosen].shape, dtype=np.float32)
        for point in range(len(gain)):
            powers = np.square(self.score[point, chosen])
            powers *= half[point][:, None]
            powers += start[point][:, None]
            np.minimum(powers, _LARGEST_LOG, out=powers)
            np.exp(powers, out=powers)
            powers *= weights[point]
            total += powers
        return total


def simulate_statistics(pair: Sequence[Judged], looks: Looks, paths: int = PATHS) -> Floats:
    """The statistic of every drift-free path at every judged look (looks by paths)."""
    statistics = np.full((len(looks), paths), -np.inf)
    residuals = [simulate_residuals(judged, index, paths) for index, judged in enumerate(pair)]
    for start in np.unique(looks.window_start):
        _simulate_window(pair, residuals, looks, int(start), statistics)
    return statistics


def _simulate_window(
    pair: Sequence[Judged], residuals: Sequence[Singles], looks: Looks, start: int, out: Floats
) -> None:
    members = np.flatnonzero((looks.window_start == start) & (looks.share > 0))
    if not len(members):
        return
    earliest = max(start, max(judged.arrays.first_onset for judged in pair))
    onsets = np.arange(earliest, int(looks.last_trim[members].max()), dtype=np.int64)
    if not len(onsets):
        return
    rows = [np.flatnonzero((j.arrays.trim >= start) & (j.arrays.look <= members[-1])) for j in pair]
    windows = [_Window(*args, onsets) for args in zip(pair, residuals, rows, strict=True)]
    taken = [0] * len(pair)
    for member in members:
        for index, judged in enumerate(pair):
            stop = int(np.searchsorted(judged.arrays.look[rows[index]], member, side="right"))
            windows[index].take(taken[index], stop)
            taken[index] = stop
        seen = onsets_at(int(looks.last_trim[member]), start, earliest)
        if len(seen):
            chosen = slice(int(seen[0]) - earliest, int(seen[-1]) + 1 - earliest)
            out[member] = np.log(_joint(windows, chosen))


def _joint(windows: Sequence[_Window], chosen: slice) -> Floats:
    """The sum over onsets of the product over quantities."""
    product = windows[0].factors(chosen).astype(np.float64)
    for window in windows[1:]:
        product *= window.factors(chosen)
    total: Floats = product.sum(axis=0)
    return total


def limits_from_paths(statistics: Floats, share: Floats, visits_per_false_alarm: float) -> Floats:
    """The limit at each look so that among paths still quiet the wanted share alarms there.

    `share` of the allowance 1/`visits_per_false_alarm` at each look; infinite where it is 0.
    """
    allowed = ALLOWANCE_USED / visits_per_false_alarm
    limits = np.full(len(share), np.inf)
    quiet = np.ones(statistics.shape[1], dtype=np.bool_)
    for look in np.flatnonzero(share > 0):
        here = statistics[look, quiet]
        if not np.isfinite(here).any():
            continue
        limits[look] = np.quantile(here, 1.0 - allowed * share[look])
        quiet &= statistics[look] <= limits[look]
    return limits


def alarm_limits(
    pair: Sequence[Judged], looks: Looks, visits_per_false_alarm: float, paths: int = PATHS
) -> Floats:
    """The alarm limit at every look of a series, or of a toe and heel pair judged together."""
    statistics = simulate_statistics(pair, looks, paths)
    return limits_from_paths(statistics, looks.share, visits_per_false_alarm)
