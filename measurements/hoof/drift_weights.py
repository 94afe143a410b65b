"""Robust weights: a reading that its neighbours contradict counts less.

Each reading is compared with what all the others say of it (leave-one-out), allowing the level to
wander a little so that a true drift does not make honest readings look wrong.
"""

from dataclasses import dataclass

import numpy as np

from measurements.hoof.drift_arrays import Floats, SeriesArrays
from measurements.hoof.drift_model import covariance, walk_covariance
from measurements.hoof.drift_priors import DOWNWEIGHT_FROM_SD, DriftPrior

PASSES = 2  # the first pass is blurred by the wild readings themselves; house default
_LARGEST_SURPRISE_SD = 1e3  # keeps the fourth power finite


@dataclass(frozen=True)
class ReadingWeights:
    """Per reading: `surprise`, by how many SDs it misses the others' prediction (t), and
    `inflation`, by how much its error variance was enlarged (1 for an ordinary reading)."""

    surprise: Floats
    inflation: Floats

    @property
    def weight(self) -> Floats:
        """How much each reading counts, from 1 down towards 0."""
        return 1.0 / self.inflation


def leave_one_out_surprise(
    spread: Floats, residual: Floats, error_variance: Floats, plain_variance: Floats
) -> Floats:
    """How many SDs each reading lies from the prediction by all the others.

    `spread`: the covariance W with `error_variance` on its diagonal. With P = W^-1 the
    leave-one-out residual is (P r)_i / P_ii and its variance 1/P_ii; the reading's own error is
    put back to `plain_variance` so that a down-weighted reading is still judged by its own SD.
    """
    precision = np.linalg.inv(spread)
    diagonal = np.diag(precision)
    left_out = (precision @ residual) / diagonal
    variance = 1.0 / diagonal - error_variance + plain_variance
    return np.minimum(np.abs(left_out) / np.sqrt(variance), _LARGEST_SURPRISE_SD)


def robust_weights(arrays: SeriesArrays, prior: DriftPrior) -> ReadingWeights:
    """Weights of all readings; a single reading is always believed."""
    plain = arrays.sd**2
    inflation = np.ones_like(plain)
    surprise = np.zeros_like(plain)
    if len(plain) < 2:
        return ReadingWeights(surprise, inflation)
    base = covariance(arrays, prior.trim_sd, np.zeros_like(plain))
    base += walk_covariance(arrays.trim, prior.walk_sd)
    for _ in range(PASSES):
        error = plain * inflation
        surprise = leave_one_out_surprise(base + np.diag(error), arrays.residual, error, plain)
        inflation = np.maximum(1.0, (surprise / DOWNWEIGHT_FROM_SD) ** 4)
    return ReadingWeights(surprise, inflation)
