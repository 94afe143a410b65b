"""How fast, since when, how much, and where the foot stands now: draws from the posterior.

Onset weights are proportional to the Bayes factors; given onset and grid point the size of the
change is normal with mean A/(I + s^-2) and variance 1/(I + s^-2), and the level and the growth
follow it. Draws come in mirrored pairs from fixed numbers: equal readings give equal answers, and
mirrored readings mirrored ones.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints
from measurements.hoof.drift.evidence import (
    grid_log_weights,
    log_bayes_factors,
    log_sum_exp,
    project,
)
from measurements.hoof.drift.model import drift_columns, step_columns
from measurements.hoof.drift.replay import Fit

DRAW_PAIRS = 600  # house default: 95 % limits then move by less than a tenth of their width
_SEED = 1_862
CHANGE_CHANCE = 0.2  # house default: before looking, how likely a series holds a change


class Shape(StrEnum):
    """How a level changes: a little at every trim since an onset, or once."""

    DRIFT = "drift"
    STEP = "step"


@dataclass(frozen=True)
class Draws:
    """Posterior draws of one quantity, base unit; arrays of one length.

    `onset`: last trim before the change. `size`: change per cycle (drift) or once (step).
    `change`: what it has come to by the last trim. `level`: just after the last trim, as the
    person and method of most readings would read it. `growth`: change per 56 days.
    """

    onset: Ints
    size: Floats
    change: Floats
    level: Floats
    growth: Floats


def shape_evidence(fits: Sequence[Fit], shape: Shape) -> Floats:
    """Per onset, the log Bayes factor of this shape of change, quantities added."""
    return np.asarray(np.sum([_factors(fit, shape)[2] for fit in fits], axis=0))


def _factors(fit: Fit, shape: Shape, explain: bool = False) -> tuple[Floats, Floats, Floats]:
    """Size mean and variance [g, k], and the averaged log Bayes factor [k]."""
    prior = fit.part.prior
    if shape is Shape.STEP:
        fit = _as_step(fit)
        change_sd = prior.step_sd
    else:
        change_sd = prior.explain_sd if explain else prior.drift_sd
    variance = 1.0 / (fit.projections.information + change_sd**-2)
    joint = _joint_log_weights(fit, change_sd)
    return variance * fit.projections.score, variance, log_sum_exp(joint, axis=0)


def _as_step(fit: Fit) -> Fit:
    arrays = fit.part.arrays
    columns = step_columns(arrays.trim, fit.onsets)
    projections = project(arrays, columns, fit.error_variance, fit.grid)
    return replace(fit, projections=projections)


def _joint_log_weights(fit: Fit, change_sd: float) -> Floats:
    """Log of grid weight times Bayes factor, grid points by onsets."""
    factors = log_bayes_factors(fit.projections.score, fit.projections.information, change_sd)
    joint: Floats = grid_log_weights(fit.projections, fit.grid)[:, None] + factors
    return joint


def onset_log_weights(fits: Sequence[Fit], shape: Shape) -> Floats:
    """How likely each onset is, in logs, by all quantities together."""
    total = np.sum([_factors(fit, shape, explain=True)[2] for fit in fits], axis=0)
    return np.asarray(total - log_sum_exp(total))


def draw(fit: Fit, onset_log_weight: Floats, shape: Shape, last_trim: int) -> Draws:
    """Draws for one quantity, its onsets weighted as given, the change certain to exist."""
    prior = fit.part.prior
    step = shape is Shape.STEP
    shaped = _as_step(fit) if step else fit
    change_sd = prior.step_sd if step else prior.explain_sd
    joint = _joint_log_weights(shaped, change_sd)
    joint = joint - log_sum_exp(joint, axis=0) + onset_log_weight
    point, onset = _choose(joint)
    projections = shaped.projections
    variance = 1.0 / (projections.information[point, onset] + change_sd**-2)
    noise = _noise()
    size = variance * projections.score[point, onset] + np.sqrt(variance) * noise[0]
    column = (step_columns if step else drift_columns)(np.array([last_trim]), fit.onsets)[0]
    change = size * column[onset]
    taken = projections.response[point, :, onset] * size[:, None]
    coefficients = projections.coefficients[point] - taken
    level, growth = _level_and_growth(shaped, point, coefficients, noise[1:])
    return Draws(fit.onsets[onset], size, change, level + change, growth)


def without_change(fit: Fit) -> tuple[Floats, Floats]:
    """Draws of level and growth if nothing has changed at all."""
    weights = grid_log_weights(fit.projections, fit.grid)
    point, _ = _choose(weights[:, None])
    return _level_and_growth(fit, point, fit.projections.coefficients[point], _noise()[1:])


def chance_of_change(fits: Sequence[Fit], shape: Shape) -> float:
    """How likely this shape of change is, against none, after the readings."""
    evidence = shape_evidence(fits, shape)
    log_odds = log_sum_exp(evidence) - np.log(len(evidence))
    log_odds += np.log(CHANGE_CHANCE / (1.0 - CHANGE_CHANCE))
    return float(1.0 / (1.0 + np.exp(-log_odds)))


def _choose(log_weight: Floats) -> tuple[Ints, Ints]:
    """Grid points and onsets in proportion to their weights, evenly spread, each twice (mirrored)."""
    shares = np.cumsum(np.exp(log_weight - log_sum_exp(log_weight)).ravel())
    places = np.searchsorted(shares / shares[-1], (np.arange(DRAW_PAIRS) + 0.5) / DRAW_PAIRS)
    point, onset = np.unravel_index(np.concatenate([places, places]), log_weight.shape)
    return point.astype(np.int64), onset.astype(np.int64)


def _noise() -> Floats:
    """Three rows of standard normals, the second half mirroring the first."""
    half = np.random.default_rng(_SEED).standard_normal((3, DRAW_PAIRS))
    return np.concatenate([half, -half], axis=1)


def _level_and_growth(
    fit: Fit, point: Ints, coefficients: Floats, noise: Floats
) -> tuple[Floats, Floats]:
    """Draws of the level without the change, and of the growth, about the given coefficients."""
    arrays = fit.part.arrays
    wanted = _functionals(fit)
    spread = np.einsum("fq,gqr,hr->gfh", wanted, fit.projections.spread, wanted)
    root = np.linalg.cholesky(spread + 1e-12 * np.eye(2))
    drawn = coefficients @ wanted.T + np.einsum("nfh,hn->nf", root[point], noise)
    base = fit.part.prior.level_mean + arrays.planned[-1] + arrays.offset_mean[_main(fit)]
    return base + drawn[:, 0], arrays.growth_mean[-1] + drawn[:, 1]


def _main(fit: Fit) -> int:
    """A reading by the hand that took most of them."""
    source = fit.part.arrays.source
    return int(np.flatnonzero(source == np.bincount(source).argmax())[0])


def _functionals(fit: Fit) -> Floats:
    """Rows picking the present level (with the main reader's offset and the plan) and growth."""
    arrays = fit.part.arrays
    main = _main(fit)
    present = {
        "level": int(arrays.level_id[-1]),
        "growth": int(arrays.state_id[-1]),
    }
    wanted = np.zeros((2, len(arrays.column_kind)))
    for place, (kind, index) in enumerate(
        zip(arrays.column_kind, arrays.column_index, strict=True)
    ):
        if kind == "plan":
            wanted[0, place] = arrays.planned[-1]
        elif kind == "offset":
            wanted[0, place] = arrays.design[main, place]
        elif present[kind] == index:
            wanted[1 if kind == "growth" else 0, place] = 1.0
    return wanted
