"""Evidence for a drift (or a step) from each onset: log Bayes factors averaged over the grid.

With A = x' V^-1 r and I = x' V^-1 x for the column x of an onset and a prior SD s,
log BF = s^2 A^2 / (2 (1 + s^2 I)) - log(1 + s^2 I) / 2. V^-1 is never formed: trims are blocks and
the design is narrow, so group sums and one small matrix do (Sherman-Morrison-Woodbury).
"""

from dataclasses import dataclass, replace

import numpy as np

from measurements.hoof.drift.arrays import Bools, Floats, SeriesArrays
from measurements.hoof.drift.model import VariationGrid


@dataclass(frozen=True)
class Projections:
    """What the readings say under each grid point g, for each column k (an onset).

    `score` A[g, k] and `information` I[g, k]; `log_likelihood` [g] of the readings without any
    change (up to a constant); `coefficients` [g, q] of the design without a change,
    `response` [g, q, k] by which they fall per unit of column k, and `spread` [g, q, q] their
    posterior covariance at a known change.
    """

    score: Floats
    information: Floats
    log_likelihood: Floats
    coefficients: Floats
    response: Floats
    spread: Floats

    def split(self, count: int) -> tuple["Projections", "Projections"]:
        """The first `count` columns, and the others."""
        return self._columns(slice(None, count)), self._columns(slice(count, None))

    def _columns(self, chosen: slice) -> "Projections":
        return replace(
            self,
            score=self.score[:, chosen],
            information=self.information[:, chosen],
            response=self.response[:, :, chosen],
        )


def project(
    arrays: SeriesArrays, columns: Floats, error_variance: Floats, grid: VariationGrid
) -> Projections:
    """Fits the drift-free model at every grid point and projects the columns onto it."""
    used = np.any(arrays.design != 0.0, axis=0)
    design, design_sd = arrays.design[:, used], arrays.design_sd[used]
    width = design.shape[1]
    everything = np.column_stack([arrays.residual, design, columns])
    inner, log_det = _within_and_between_trims(arrays, everything, error_variance, grid)
    block = slice(1, 1 + width)
    normal = inner[:, block, block] + np.diag(design_sd**-2)
    spread = np.asarray(np.linalg.inv(normal), dtype=np.float64)
    fitted = spread @ inner[:, block, :]
    outer = inner - inner[:, :, block] @ fitted
    log_det = log_det + np.linalg.slogdet(normal)[1] + 2.0 * np.log(design_sd).sum()
    rest = slice(1 + width, None)
    return Projections(
        score=outer[:, rest, 0],
        information=np.diagonal(outer[:, rest, rest], axis1=1, axis2=2).copy(),
        log_likelihood=-0.5 * (outer[:, 0, 0] + log_det),
        coefficients=_spread_out(fitted[:, :, 0], used),
        response=_spread_out(fitted[:, :, 1 + width :], used),
        spread=_prior_where_unused(spread, used, arrays.design_sd),
    )


def _within_and_between_trims(
    arrays: SeriesArrays, everything: Floats, error_variance: Floats, grid: VariationGrid
) -> tuple[Floats, Floats]:
    """M' B^-1 M and log det B with B = k^2 diag(R) + trim_sd^2 [same trim], per grid point."""
    precision = 1.0 / error_variance
    _, member = np.unique(arrays.trim, return_inverse=True)
    groups = np.zeros((int(member.max()) + 1, len(member)))
    groups[member, np.arange(len(member))] = precision
    mass = groups.sum(axis=1)
    sums = groups @ everything
    within = (everything * precision[:, None]).T @ everything
    scale = grid.error_scale**-2
    ratio = 1.0 + (grid.trim_sd**2 * scale)[:, None] * mass
    shrink = (scale**2 * grid.trim_sd**2)[:, None] / ratio
    shrunk = (shrink[:, :, None] * sums).transpose(0, 2, 1) @ sums
    inner = scale[:, None, None] * within - shrunk
    log_det = np.log(error_variance).sum() - len(member) * np.log(scale) + np.log(ratio).sum(axis=1)
    return inner, log_det


def _spread_out(values: Floats, used: Bools) -> Floats:
    """Puts fitted values of used design columns back among all columns (0 elsewhere)."""
    full = np.zeros((values.shape[0], len(used), *values.shape[2:]))
    full[:, used] = values
    return full


def _prior_where_unused(spread: Floats, used: Bools, design_sd: Floats) -> Floats:
    """The posterior covariance among all columns, the prior's for those without a reading."""
    full = np.tile(np.diag(design_sd**2), (spread.shape[0], 1, 1))
    places = np.flatnonzero(used)
    full[:, places[:, None], places] = spread
    return full


def log_sum_exp(logs: Floats, axis: int | None = None) -> Floats:
    """The log of a sum of numbers given by their logs."""
    top = logs.max(axis=axis, keepdims=True)
    total = np.log(np.exp(logs - top).sum(axis=axis, keepdims=True)) + top
    return np.asarray(np.squeeze(total, axis=axis))


def log_bayes_factors(score: Floats, information: Floats, change_sd: float | Floats) -> Floats:
    """How much better a change of unknown size (SD `change_sd`) explains the readings, in logs."""
    variance = np.square(change_sd)
    gain = 1.0 + variance * information
    return variance * score**2 / (2.0 * gain) - 0.5 * np.log(gain)


def grid_log_weights(projections: Projections, grid: VariationGrid) -> Floats:
    """How likely each grid point is from these readings if nothing changes, in logs."""
    joint = grid.log_weight + projections.log_likelihood
    return joint - log_sum_exp(joint)


def onset_evidence(projections: Projections, grid: VariationGrid, change_sd: float) -> Floats:
    """The log Bayes factor of each onset, averaged over the grid."""
    factors = log_bayes_factors(projections.score, projections.information, change_sd)
    weights = grid_log_weights(projections, grid)
    return log_sum_exp(weights[:, None] + factors, axis=0)
