"""The model's covariance, written out, and the grid of error and trim variations.

V = trim_sd^2 [c_i = c_j] + F diag(design_sd^2) F' + diag(R), with F the design columns (level,
growth, offsets, plan) and R the error variances. Generalised least squares with this V is the
textbook one (Aitken 1935); tests compare it with statsmodels.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints, SeriesArrays
from measurements.hoof.drift.priors import (
    ERROR_CHANCES,
    ERROR_SCALES,
    TRIM_CHANCES,
    TRIM_SCALES,
    DriftPrior,
)


@dataclass(frozen=True)
class VariationGrid:
    """Pairs of error scale (times the error SD) and trim SD (base unit) with prior log weights."""

    error_scale: Floats
    trim_sd: Floats
    log_weight: Floats


@lru_cache(maxsize=64)
def variation_grid(prior: DriftPrior, trim_scale: float = 1.0) -> VariationGrid:
    """Every combination of the error scales and trim SDs with its chance beforehand.

    `trim_scale`: how many times as much as the table says trims are taken to vary.
    """
    trim_sds = np.array(TRIM_SCALES) * trim_scale * prior.trim_sd
    scales, trims = np.meshgrid(ERROR_SCALES, trim_sds, indexing="ij")
    chances = np.outer(ERROR_CHANCES, TRIM_CHANCES)
    return VariationGrid(scales.ravel(), trims.ravel(), np.log(chances.ravel()))


def same_trim(trim: Ints) -> Floats:
    """1 where two readings stand on the same trim, else 0."""
    shared: Floats = (trim[:, None] == trim[None, :]).astype(np.float64)
    return shared


def covariance(arrays: SeriesArrays, trim_sd: float, error_variance: Floats) -> Floats:
    """The covariance V of the readings if nothing drifts, base unit squared."""
    scaled = arrays.design * arrays.design_sd
    shared: Floats = scaled @ scaled.T + trim_sd**2 * same_trim(arrays.trim)
    shared[np.diag_indices_from(shared)] += error_variance
    return shared


def walk_covariance(trim: Ints, walk_sd: float) -> Floats:
    """The covariance of a level that wanders by `walk_sd` per trim: walk_sd^2 min(c_i, c_j)."""
    wander: Floats = walk_sd**2 * np.minimum(trim[:, None], trim[None, :]).astype(np.float64)
    return wander


def drift_columns(trim: Ints, onsets: Ints) -> Floats:
    """Trims since each onset, max(0, c - tau): rows readings, columns onsets."""
    since: Floats = np.maximum(0, trim[:, None] - onsets[None, :]).astype(np.float64)
    return since


def step_columns(trim: Ints, onsets: Ints) -> Floats:
    """1 after each onset, else 0: a sudden change at the trim after tau."""
    after: Floats = (trim[:, None] > onsets[None, :]).astype(np.float64)
    return after


def jump_covariance(trim: Ints, onsets: Ints, step_sd: float) -> Floats:
    """The covariance of a level that may have jumped by `step_sd` after one of these trims."""
    after = step_columns(trim, onsets)
    jump: Floats = step_sd**2 / len(onsets) * (after @ after.T)
    return jump
