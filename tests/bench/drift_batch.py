"""The drift statistic of many series on one design at once: what the product's entry works out one
by one. A test holds the two together.
"""

from dataclasses import dataclass, replace

import numpy as np

from measurements.hoof.drift.foot import FootSeries
from measurements.hoof.drift.hands import STEP_SHARE
from measurements.hoof.drift.limits import Judged
from measurements.hoof.drift.looks import onset_log_chances, onsets_at
from measurements.hoof.drift.model import (
    VariationGrid,
    covariance,
    drift_columns,
    jump_covariance,
    step_columns,
    variation_grid,
    walk_covariance,
)
from measurements.hoof.drift.surprise import PASSES, inflation_of

BLOCK = 200  # series worked on at a time


@dataclass(frozen=True)
class _Projected:
    """Score and information [path, grid point, column], grid weights [path, grid point]."""

    score: np.ndarray
    information: np.ndarray
    weights: np.ndarray

    def evidence(self, columns: slice, change_sd: float) -> np.ndarray:
        """Log Bayes factors [path, column], averaged over the grid."""
        variance = change_sd**2
        gain = 1.0 + variance * self.information[:, :, columns]
        score = self.score[:, :, columns]
        logs = variance * score**2 / (2.0 * gain) - 0.5 * np.log(gain)
        return _log_sum_exp(self.weights[:, :, None] + logs, axis=1)


def _log_sum_exp(logs: np.ndarray, axis: int) -> np.ndarray:
    top = logs.max(axis=axis, keepdims=True)
    total = np.log(np.exp(logs - top).sum(axis=axis, keepdims=True)) + top
    return np.asarray(np.squeeze(total, axis=axis))


def batch_statistics(foot: FootSeries, residuals: list[np.ndarray]) -> np.ndarray:
    """The statistic [look, path] of every series; `residuals` [reading, path] for each quantity:
    what is left after level, growth and plan as believed beforehand."""
    looks = foot.looks
    paths = residuals[0].shape[1]
    found = np.full((len(looks), paths), -np.inf)
    for look in np.flatnonzero(looks.share > 0):
        for begin in range(0, paths, BLOCK):
            block = slice(begin, begin + BLOCK)
            found[look, block] = _at_look(foot, int(look), [r[:, block] for r in residuals])
    return found


def _at_look(foot: FootSeries, look: int, residuals: list[np.ndarray]) -> np.ndarray | float:
    looks = foot.looks
    start, last_trim = int(looks.window_start[look]), int(looks.last_trim[look])
    onsets = onsets_at(last_trim, start, max(j.arrays.first_onset for j in foot.pair))
    if not len(onsets):
        return -np.inf
    hands = looks.hand_onsets_at(look, onsets)
    drifts: np.ndarray = np.zeros((residuals[0].shape[1], len(onsets)))
    steps: np.ndarray = np.zeros((residuals[0].shape[1], len(hands.onsets)))
    for judged, residual in zip(foot.pair, residuals, strict=True):
        arrays = judged.arrays
        rows = np.flatnonzero((arrays.look <= look) & (arrays.trim >= start))
        if not len(rows):
            continue
        part = replace(judged, arrays=arrays.choose(rows))
        trim = part.arrays.trim
        columns = np.column_stack([drift_columns(trim, onsets), step_columns(trim, hands.onsets)])
        projected = _project(part, columns, residual[rows].T, hands.onsets)
        drifts = drifts + projected.evidence(slice(None, len(onsets)), judged.prior.drift_sd)
        steps = steps + projected.evidence(slice(len(onsets), None), judged.prior.step_sd)
    logs = drifts + onset_log_chances(last_trim, onsets)
    if len(hands.onsets):
        at_hands = drifts[:, np.searchsorted(onsets, hands.onsets)] + np.log(1.0 - STEP_SHARE)
        logs = np.concatenate(
            [logs, hands.log_chances + at_hands, hands.log_chances + np.log(STEP_SHARE) + steps],
            axis=1,
        )
    return _log_sum_exp(logs, axis=1)


def _error_variance(part: Judged, residual: np.ndarray, hand_onsets: np.ndarray) -> np.ndarray:
    """R [path, reading] after the robust weights."""
    arrays = part.arrays
    plain = arrays.sd**2
    inflation = np.ones_like(residual)
    if len(plain) < 2:
        return plain * inflation
    base = covariance(arrays, part.prior.trim_sd, np.zeros_like(plain))
    base += walk_covariance(arrays.trim, part.prior.walk_sd)
    if len(hand_onsets):
        base += jump_covariance(arrays.trim, hand_onsets, part.prior.step_sd)
    for _ in range(PASSES):
        error = plain * inflation
        precision = np.linalg.inv(base + error[:, :, None] * np.eye(len(plain)))
        diagonal = np.diagonal(precision, axis1=1, axis2=2)
        left_out = np.einsum("pij,pj->pi", precision, residual) / diagonal
        surprise = np.abs(left_out) / np.sqrt(1.0 / diagonal - error + plain)
        inflation = inflation_of(np.minimum(surprise, 1e3))
    return plain * inflation


def _project(
    part: Judged, columns: np.ndarray, residual: np.ndarray, hand_onsets: np.ndarray
) -> _Projected:
    arrays = part.arrays
    grid = variation_grid(part.prior, part.trim_scale)
    used = np.any(arrays.design != 0.0, axis=0)
    design, design_sd = arrays.design[:, used], arrays.design_sd[used]
    precision = 1.0 / _error_variance(part, residual, hand_onsets)
    fixed = np.column_stack([design, columns])
    everything = np.concatenate(
        [residual[:, :, None], np.broadcast_to(fixed, (len(residual), *fixed.shape))], axis=2
    )
    inner, log_det = _within_and_between(arrays.trim, everything, precision, grid)
    block, rest = slice(1, 1 + len(design_sd)), slice(1 + len(design_sd), None)
    normal = inner[:, :, block, block] + np.diag(design_sd**-2)
    fitted = np.linalg.solve(normal, inner[:, :, block, :])
    across = inner[:, :, :, block]
    own = np.einsum("pgib,pgbi->pgi", across, fitted)
    score = inner[:, :, rest, 0] - np.einsum(
        "pgib,pgb->pgi", across[:, :, rest], fitted[:, :, :, 0]
    )
    information = np.diagonal(inner, axis1=2, axis2=3)[:, :, rest] - own[:, :, rest]
    log_det = log_det + np.linalg.slogdet(normal)[1]
    likelihood = -0.5 * (inner[:, :, 0, 0] - own[:, :, 0] + log_det)
    joint = grid.log_weight + likelihood
    return _Projected(score, information, joint - _log_sum_exp(joint, axis=1)[:, None])


def _within_and_between(
    trim: np.ndarray, everything: np.ndarray, precision: np.ndarray, grid: VariationGrid
) -> tuple[np.ndarray, np.ndarray]:
    _, member = np.unique(trim, return_inverse=True)
    groups = np.zeros((int(member.max()) + 1, len(member)))
    groups[member, np.arange(len(member))] = 1.0
    weighed = everything * precision[:, :, None]
    mass = precision @ groups.T
    sums = groups @ weighed
    within = weighed.transpose(0, 2, 1) @ everything
    scale = grid.error_scale**-2
    ratio = 1.0 + (grid.trim_sd**2 * scale)[None, :, None] * mass[:, None, :]
    shrink = (scale**2 * grid.trim_sd**2)[None, :, None] / ratio
    shrunk = (shrink[..., None] * sums[:, None]).transpose(0, 1, 3, 2) @ sums[:, None]
    inner = scale[None, :, None, None] * within[:, None] - shrunk
    log_det = -len(member) * np.log(scale) + np.log(ratio).sum(axis=2)
    log_det = log_det - np.log(precision).sum(axis=1)[:, None]
    return inner, log_det
