"""Replays a series look by look: what the evidence was each time, with what was known then."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints
from measurements.hoof.drift.evidence import Projections, log_sum_exp, project
from measurements.hoof.drift.hands import NO_HANDS, HandOnsets
from measurements.hoof.drift.limits import Judged
from measurements.hoof.drift.looks import Looks, all_onsets_at, onset_log_chances, onsets_at
from measurements.hoof.drift.model import VariationGrid, drift_columns, step_columns, variation_grid
from measurements.hoof.drift.weights import ReadingWeights, robust_weights


@dataclass(frozen=True)
class Fit:
    """One quantity as known at one look: its readings so far (`part`, places `rows` in the whole
    series), their weights, the grid, the onsets considered and their projected drift columns;
    `hands`: the onsets at changes of hands, with `steps`, their projected step columns."""

    part: Judged
    rows: Ints
    weights: ReadingWeights
    grid: VariationGrid
    onsets: Ints
    projections: Projections
    hands: HandOnsets
    steps: Projections

    @property
    def error_variance(self) -> Floats:
        """R: the error variances after the robust weights."""
        return self.part.arrays.sd**2 * self.weights.inflation


def fit_at(
    judged: Judged, looks: Looks, look: int, first_onset: int, told_since: int | None = None
) -> Fit | None:
    """The fit with the readings up to a look; `None` when this quantity has none yet.

    `told_since`: the fit is to describe, not to judge: every onset from that trim on is allowed.
    """
    start = int(looks.window_start[look]) if told_since is None else told_since
    arrays = judged.arrays
    rows = np.flatnonzero((arrays.look <= look) & (arrays.trim >= start))
    choose_onsets = onsets_at if told_since is None else all_onsets_at
    onsets = choose_onsets(int(looks.last_trim[look]), start, first_onset)
    if not len(rows):
        return None
    part = replace(judged, arrays=arrays.choose(rows))
    changed_hands = looks.hand_onsets_at(look, onsets)
    weights = robust_weights(part.arrays, judged.prior, changed_hands.onsets)
    grid = variation_grid(judged.prior, judged.trim_scale if told_since is None else 1.0)
    hands = changed_hands if told_since is None else NO_HANDS
    trim = part.arrays.trim
    columns = np.column_stack([drift_columns(trim, onsets), step_columns(trim, hands.onsets)])
    error_variance = part.arrays.sd**2 * weights.inflation
    projected = project(part.arrays, columns, error_variance, grid)
    drifts, steps = projected.split(len(onsets))
    return Fit(part, rows, weights, grid, onsets, drifts, hands, steps)


def first_onset_of(pair: Sequence[Judged]) -> int:
    """The earliest onset that every quantity of the pair allows."""
    return max(judged.arrays.first_onset for judged in pair)


def fits_at(
    pair: Sequence[Judged], looks: Looks, look: int, told_since: int | None = None
) -> list[Fit | None]:
    """The fits of all quantities of the pair at a look."""
    first_onset = first_onset_of(pair)
    return [fit_at(judged, looks, look, first_onset, told_since) for judged in pair]


def even_statistics(pair: Sequence[Judged], looks: Looks) -> Floats:
    """The statistic at every look if the readings spoke neither for a drift nor against one."""
    even = np.full(len(looks), -np.inf)
    first_onset = first_onset_of(pair)
    for look, last_trim in enumerate(looks.last_trim):
        onsets = onsets_at(int(last_trim), int(looks.window_start[look]), first_onset)
        if len(onsets):
            hands = looks.hand_onsets_at(look, onsets)
            chances = onset_log_chances(int(last_trim), onsets)
            even[look] = log_sum_exp(np.concatenate([chances, hands.log_chances]))
    return even
