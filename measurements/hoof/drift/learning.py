"""What a yard's own series say of its measurer and its trimmer: how far one reading errs, and how
differently two trims leave the same foot.

The table's values (`quantities`, `priors`) are guesses about everybody. Where trims vary more than
it says, stable feet alarm twice as often as they should; where somebody measures with more care,
drifts are found later than they could be. Series of one place, trimmed and measured by the same hands,
tell both: the difference of the readings before and after the same trim is error, that of successive
trims is both. The likelihood of all series is worked out on a grid of multiples of the table's values,
each foot with its own level, growth and slope (empirical Bayes; Gelman, Bayesian Data Analysis 3rd ed.
chapter 5, from memory), and the prior holds the answer towards the table.

Decided 2026-11: nothing is learned from less than `VISITS_THAT_TEACH` visits to feet that were each
seen `VISITS_EACH` times. Simulated with five kinds of yards, false alarms lie within a fifth of what
is wanted from there on (`tests.bench.drift_learning`); before, an uneven trimmer still doubled them.
The road not taken: moments of differences, as good there and useless with few visits. What is learned
is of a place's hands together; it is for judging feet and not for comparing people.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from measurements.hoof.drift.arrays import (
    Floats,
    Question,
    SeriesArrays,
    build_arrays,
    source_label,
)
from measurements.hoof.drift.evidence import log_sum_exp, project
from measurements.hoof.drift.foot import FootSeries
from measurements.hoof.drift.model import VariationGrid
from measurements.hoof.drift.priors import DriftPrior
from measurements.hoof.drift.weights import robust_weights
from measurements.hoof.quantities import TrimState
from measurements.hoof.series import SeriesReading

VISITS_EACH = 12  # by simulation: with six visits a foot its own slope and level take up too much
VISITS_THAT_TEACH = 120
# Beforehand a yard's error and trim variation lie around the table's by a factor of e^0.4 = 1.5 (SD).
# House default.
_PRIOR_LOG_SD = 0.4
# Multiples looked at, in steps of 8 %; no yard is likely to lie outside. House default.
_LOWEST, _HIGHEST, _STEPS = 0.35, 3.0, 29
# A foot's level may slope a little over its trims without that being trim variation, base unit a trim;
# in the simulated yards a tenth of the feet drift by 0.4 deg.
_SLOPE_SHARE = 0.2  # of the prior's drift SD: 0.1 deg; house default
# Whoever writes the last value down again seems to measure without any error: less than half of the
# table's is not believed. House default.
LEAST_SCALE = 0.5
_PASSES = 2  # of the robust weights: under the table's values, then under those learned


@dataclass(frozen=True)
class Variation:
    """What was learned, as multiples of the table's values: `error_scale` of the error of the hand
    `source` (an opaque key), `trim_scale` of the trim SD. From `visits` to `feet`."""

    source: str
    error_scale: float
    trim_scale: float
    visits: int
    feet: int


def learn_variation(
    series: Sequence[Sequence[SeriesReading]], prior: DriftPrior
) -> Variation | None:
    """What series of one quantity, each of one foot, say; `None` before they say enough.

    They should come from one place: trimmed by the same person, and mostly measured by one hand,
    which is the one that is told of. Readings of other hands are left aside.
    """
    source = _main_hand(series)
    own = [[row for row in rows if source_label(row) == source] for rows in series]
    long = [rows for rows in own if _visits(rows) >= VISITS_EACH]
    visits = sum(_visits(rows) for rows in long)
    if source is None or visits < VISITS_THAT_TEACH:
        return None
    arrays = [_with_slope(build_arrays(rows, Question(prior)), prior) for rows in long]
    scales = (1.0, 1.0)
    for _ in range(_PASSES):
        scales = _posterior_means(arrays, prior, *scales)
    error, trims = (max(LEAST_SCALE, scale) for scale in scales)
    return Variation(source, error, trims, visits, len(long))


def under(foot: FootSeries, learned: Variation) -> FootSeries:
    """The foot as judged under what was learned."""
    pair = []
    for judged in foot.pair:
        prior = replace(judged.prior, trim_sd=learned.trim_scale * judged.prior.trim_sd)
        pair.append(replace(judged, prior=prior))
    return replace(foot, pair=tuple(pair))


def with_learned_error(
    readings: Sequence[SeriesReading], learned: Variation
) -> list[SeriesReading]:
    """The readings, those of the hand that was learned of with its own error."""
    return [
        replace(row, sd=learned.error_scale * row.sd)
        if source_label(row) == learned.source
        else row
        for row in readings
    ]


def _main_hand(series: Sequence[Sequence[SeriesReading]]) -> str | None:
    """Who took most readings; of equals the first by name."""
    counts = Counter(source_label(row) for rows in series for row in rows)
    return min(counts, key=lambda hand: (-counts[hand], hand), default=None)


def _visits(rows: Sequence[SeriesReading]) -> int:
    """Trims that were measured before or after."""
    return len(
        {
            row.trim_index + (row.trim_state is TrimState.BEFORE)
            for row in rows
            if row.trim_state is not TrimState.BETWEEN
        }
    )


def _with_slope(arrays: SeriesArrays, prior: DriftPrior) -> SeriesArrays:
    """The series with a slope over its trims as one more column of its design."""
    slope = arrays.trim - arrays.trim.mean()
    return replace(
        arrays,
        design=np.column_stack([arrays.design, slope]),
        design_sd=np.append(arrays.design_sd, _SLOPE_SHARE * prior.drift_sd),
        column_kind=(*arrays.column_kind, "slope"),
        column_index=(*arrays.column_index, 0),
    )


def _posterior_means(
    series: Sequence[SeriesArrays], prior: DriftPrior, error_scale: float, trim_scale: float
) -> tuple[float, float]:
    """The means of both scales (of their logs), readings weighed under the scales given."""
    steps = np.linspace(np.log(_LOWEST), np.log(_HIGHEST), _STEPS)
    errors, trims = (each.ravel() for each in np.meshgrid(steps, steps, indexing="ij"))
    beforehand = -0.5 * (np.square(errors) + np.square(trims)) / _PRIOR_LOG_SD**2
    grid = VariationGrid(np.exp(errors), np.exp(trims) * prior.trim_sd, beforehand)
    assumed = replace(prior, trim_sd=trim_scale * prior.trim_sd)
    logs: Floats = beforehand.copy()
    for arrays in series:
        scaled = replace(arrays, sd=error_scale * arrays.sd)
        inflation = robust_weights(scaled, assumed).inflation
        nothing = np.zeros((len(arrays.trim), 0))
        logs += project(arrays, nothing, arrays.sd**2 * inflation, grid).log_likelihood
    weights = np.exp(logs - log_sum_exp(logs))
    return float(np.exp(weights @ errors)), float(np.exp(weights @ trims))
