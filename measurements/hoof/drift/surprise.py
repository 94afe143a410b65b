"""How far a reading lies from what all the others say of it, and how much its error then grows."""

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.drift.priors import DOWNWEIGHT_FROM_SD

Floats = NDArray[np.float64]

PASSES = 2  # the first pass is blurred by the wild readings themselves; house default
_LARGEST_SURPRISE_SD = 1e3  # keeps the fourth power finite


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
    return surprise_of(left_out, 1.0 / diagonal - error_variance + plain_variance)


def surprise_of(left_out: Floats, variance: Floats) -> Floats:
    """How many SDs a leave-one-out residual comes to."""
    return np.minimum(np.abs(left_out) / np.sqrt(variance), _LARGEST_SURPRISE_SD)


def inflation_of(surprise: Floats) -> Floats:
    """By how much error variances are enlarged, for surprises in SDs: 1 for an ordinary reading."""
    inflation: Floats = np.maximum(1.0, (surprise / DOWNWEIGHT_FROM_SD) ** 4)
    return inflation
