"""The statistic of a foot at every look, all looks of a window of trims at once.

S: the log of the Bayes factors summed over onsets, quantities multiplied, recent onsets weighing more,
and those at a change of hands most, as drift and as step. Tests hold it to the fits of `replay`, which
describe a foot look by look. The readings of a look are the first ones of its window. So the whitened readings of
the longest look hold those of all others, and a reading that is not there yet is one of no precision.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints, SeriesArrays
from measurements.hoof.drift.evidence import log_bayes_factors, log_sum_exp
from measurements.hoof.drift.hands import STEP_SHARE, HandOnsets
from measurements.hoof.drift.limits import Judged
from measurements.hoof.drift.looks import Looks, onset_log_chances, onsets_at
from measurements.hoof.drift.model import VariationGrid, drift_columns, step_columns, variation_grid
from measurements.hoof.drift.weights import inflation_by_look

_NEVER = -np.inf


@dataclass(frozen=True)
class _Window:
    """Looks that are judged on the trims from `start` on (`members`), and what each asks: `own`
    onsets and those at changes of `hands`. `onsets`, `hand_onsets`: of all of them, sorted."""

    members: Ints
    start: int
    onsets: Ints
    hand_onsets: Ints
    own: tuple[Ints, ...]
    hands: tuple[HandOnsets, ...]


@dataclass(frozen=True)
class _Evidence:
    """Log Bayes factors averaged over the grid [look, onset of the window]: of a drift, of a step."""

    drift: Floats
    step: Floats


def statistics_by_look(
    pair: Sequence[Judged], looks: Looks, stop_above: Floats | None = None
) -> Floats:
    """The statistic at every judged look (minus infinity elsewhere).

    `stop_above`: limits by look; looks after the first one above its limit are left out.
    """
    statistics = np.full(len(looks), _NEVER)
    judged = looks.share > 0
    first_onset = max((each.arrays.first_onset for each in pair), default=0)
    for start in np.unique(looks.window_start[judged]):
        members = np.flatnonzero(judged & (looks.window_start == start))
        window = _window(looks, int(start), first_onset, members)
        if window is not None:
            statistics[window.members] = _of_window(pair, looks, window)
    if stop_above is not None:
        above = np.flatnonzero(statistics > stop_above)
        statistics[int(above[0]) + 1 if len(above) else len(looks) :] = _NEVER
    return statistics


def _window(looks: Looks, start: int, first_onset: int, members: Ints) -> _Window | None:
    own = [onsets_at(int(looks.last_trim[m]), start, first_onset) for m in members]
    asking = [place for place, onsets in enumerate(own) if len(onsets)]
    if not asking:
        return None
    members, own = members[asking], [own[place] for place in asking]
    hands = [looks.hand_onsets_at(int(m), o) for m, o in zip(members, own, strict=True)]
    return _Window(
        members=members,
        start=start,
        onsets=np.unique(np.concatenate(own)),
        hand_onsets=np.unique(np.concatenate([each.onsets for each in hands])),
        own=tuple(own),
        hands=tuple(hands),
    )


def _of_window(pair: Sequence[Judged], looks: Looks, window: _Window) -> Floats:
    found = [_evidence(judged, window) for judged in pair]
    drift = np.sum([each.drift for each in found], axis=0)
    step = np.sum([each.step for each in found], axis=0)
    width = len(window.onsets) + 2 * len(window.hand_onsets)
    logs = np.full((len(window.members), width), _NEVER)
    for place, (member, own, hands) in enumerate(
        zip(window.members, window.own, window.hands, strict=True)
    ):
        asked = np.searchsorted(window.onsets, own)
        drifts = drift[place, asked]
        logs[place, asked] = drifts + onset_log_chances(int(looks.last_trim[member]), own)
        if len(hands.onsets):
            at = np.searchsorted(window.hand_onsets, hands.onsets)
            beside = drifts[np.searchsorted(own, hands.onsets)]
            first = len(window.onsets) + at
            logs[place, first] = hands.log_chances + np.log(1.0 - STEP_SHARE) + beside
            second = first + len(window.hand_onsets)
            logs[place, second] = hands.log_chances + np.log(STEP_SHARE) + step[place, at]
    return log_sum_exp(logs, axis=1)


def _evidence(judged: Judged, window: _Window) -> _Evidence:
    """What one quantity's readings say at each look; nothing (0) before its first reading."""
    arrays = judged.arrays
    last = int(window.members[-1])
    part = arrays.choose(np.flatnonzero((arrays.look <= last) & (arrays.trim >= window.start)))
    onsets, hand_onsets = window.onsets, window.hand_onsets
    if not len(part.trim):
        shape = (len(window.members), len(onsets))
        return _Evidence(np.zeros(shape), np.zeros((shape[0], len(hand_onsets))))
    taken = np.searchsorted(part.look, window.members, side="right")
    inflation = inflation_by_look(part, judged.prior, taken, [h.onsets for h in window.hands])
    known = np.arange(len(part.trim))[None, :] < taken[:, None]
    precision = np.where(known, 1.0 / (part.sd**2 * inflation), 0.0)
    columns = np.column_stack(
        [drift_columns(part.trim, onsets), step_columns(part.trim, hand_onsets)]
    )
    grid = variation_grid(judged.prior, judged.trim_scale)
    score, information, weight = _projected(part, columns, precision, grid)
    change_sd = np.repeat(
        [judged.prior.drift_sd, judged.prior.step_sd], [len(onsets), len(hand_onsets)]
    )
    each = log_bayes_factors(score, information, change_sd)
    factors = log_sum_exp(weight[:, :, None] + each, axis=1)
    return _Evidence(factors[:, : len(onsets)], factors[:, len(onsets) :])


def _projected(
    part: SeriesArrays, columns: Floats, precision: Floats, grid: VariationGrid
) -> tuple[Floats, Floats, Floats]:
    """Score and information [look, grid point, column], and the log weights of the grid points.

    As `evidence.project`, one look a layer: `precision` [look, reading], 0 where not yet taken.
    """
    used = np.any(part.design != 0.0, axis=0)
    design, design_sd = part.design[:, used], part.design_sd[used]
    first = np.column_stack([part.residual, design])  # what is multiplied with everything
    everything = np.column_stack([first, columns])
    narrow = first.shape[1]
    members, member = np.unique(part.trim, return_inverse=True)
    groups = (np.arange(len(members))[:, None] == member[None, :]).astype(np.float64)
    weighed = precision[:, :, None] * everything
    within = first.T @ weighed
    own = (precision @ np.square(columns))[:, None, :]
    sums = groups @ weighed
    mass = precision @ groups.T
    scale = grid.error_scale**-2
    ratio = 1.0 + (grid.trim_sd**2 * scale)[None, :, None] * mass[:, None, :]
    shrink = (scale**2 * grid.trim_sd**2)[None, :, None] / ratio
    shrunk = (sums[:, None, :, :narrow] * shrink[..., None]).transpose(0, 1, 3, 2) @ sums[:, None]
    inner = scale[None, :, None, None] * within[:, None] - shrunk
    own = scale[None, :, None] * own - shrink @ np.square(sums[:, :, narrow:])
    normal = inner[:, :, 1:, 1:narrow] + np.diag(design_sd**-2)
    fitted = np.linalg.solve(normal, inner[:, :, 1:, :])
    across = inner[:, :, 1:, :]
    outer = inner[:, :, 0, :] - (fitted[..., :1].transpose(0, 1, 3, 2) @ across)[:, :, 0, :]
    information = own - (across[..., narrow:] * fitted[..., narrow:]).sum(axis=2)
    log_det = np.log(ratio).sum(axis=2) + np.linalg.slogdet(normal)[1]
    count = (precision > 0.0).sum(axis=1)
    log_det = log_det - count[:, None] * np.log(scale)[None, :]
    joint = grid.log_weight - 0.5 * (outer[:, :, 0] + log_det)
    weight = joint - log_sum_exp(joint, axis=1)[:, None]
    return outer[:, :, narrow:], information, weight
