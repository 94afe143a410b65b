"""What the alarm limit at a look depends on, in a few numbers.

A limit depends on dates, trims, errors and design, not on values. What matters of them is how much
each onset could tell by then (its gain g = 1 + s^2 I), how alike the onsets are, what had been asked
before with nearly the same readings, and how well the readings tell their own error. All of it
follows from one Cholesky root a window of trims, with the errors and the trim variation as the table
says: the root for a shorter series is the corner of a longer one's, and so is what follows from it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from measurements.hoof.drift.arrays import Bools, Floats, Ints, SeriesArrays
from measurements.hoof.drift.hands import STEP_SHARE
from measurements.hoof.drift.limits import Judged
from measurements.hoof.drift.looks import Looks, onset_log_chances, onsets_at
from measurements.hoof.drift.model import covariance, drift_columns, same_trim, step_columns
from measurements.hoof.drift.priors import SECOND_TRIM_SCALE, SHARED_TRIM, VISITS_PER_FALSE_ALARM

# An earlier look used up a share of the paths. How much that matters now is told by how alike the
# two looks are: their correlation to these powers. House default, chosen on designs of training.
_ALIKE_POWERS = (4, 16, 64)
_LEAST_SPENT = 0.02  # keeps the log finite at the first look
_SPENT_VISITS = 8.0  # an earlier share is forgotten over so many visits; house default
_NEVER = -1e9  # the log of a chance of nothing, still a number

OF_ONE = (
    "log of the share of false alarms",
    "shares spent lately",
    "log of all chances",
    "log of the scale",
    "what the onsets could reach together, in scales",
    "mean log gain",
    "spread of the log gains",
    "how many onsets differ",
    "log of the readings",
    "mean log error",
    "log of the trim variation",
    "share of sudden changes",
    *(f"log of shares spent on looks alike, power {power}" for power in _ALIKE_POWERS),
)
ALL_CHANCES, LOG_SCALE = 2, 3  # places: a limit is told in scales above the first
OF_PAIR = (
    *OF_ONE,
    "the second quantity's part of the gain",
    "correlation of the two",
    "how far the second strays from what is assumed",
)


@dataclass(frozen=True)
class _Asked:
    """What the judged looks of a window (`members`) ask, [look, place], padded to one width:
    `column` of the window, its `weight` beforehand (0 where padded), `is_step`."""

    members: Ints
    column: Ints
    weight: Floats
    is_step: Bools


@dataclass(frozen=True)
class _Told:
    """What one quantity's readings of a window could tell: `whitened` columns [reading, column],
    the inverse root they were whitened by, and the prior SD of the change in each column."""

    part: SeriesArrays
    inverse: Floats
    whitened: Floats
    change_sd: Floats


def look_features(pair: Sequence[Judged], looks: Looks) -> Floats:
    """The features of every look [look, feature]; not a number where nothing is judged."""
    found = np.full((len(looks), len(OF_ONE if len(pair) == 1 else OF_PAIR)), np.nan)
    judged = looks.share > 0
    for start in np.unique(looks.window_start[judged]):
        members = np.flatnonzero(judged & (looks.window_start == start))
        earliest = max(int(start), max(each.arrays.first_onset for each in pair))
        members = members[looks.last_trim[members] > earliest]
        if len(members):
            found[members] = _of_window(pair, looks, int(start), earliest, members)
    return found


def _of_window(
    pair: Sequence[Judged], looks: Looks, start: int, earliest: int, members: Ints
) -> Floats:
    onsets = np.arange(earliest, int(looks.last_trim[members].max()), dtype=np.int64)
    asked, hand_onsets = _asked(looks, start, onsets, members)
    told = [_told(each, looks, start, onsets, hand_onsets, int(members[-1])) for each in pair]
    chances = np.log(np.where(asked.weight > 0, asked.weight, 1.0))
    chances[asked.weight == 0] = _NEVER
    gain, spread = _gains_and_spread(pair, told, asked)
    log_gains = 0.5 * np.log(gain)
    log_gain = log_gains.sum(axis=0)
    steepest, climbed = _reach(spread, looks.share[members])
    reach = chances + climbed - log_gain
    top = reach.max(axis=1, keepdims=True)
    weight = np.exp(reach - top)
    together = np.log(weight.sum(axis=1)) + top[:, 0]
    weight /= weight.sum(axis=1, keepdims=True)
    scale = (weight * steepest).sum(axis=1)
    all_chances = np.log(asked.weight.sum(axis=1))
    mean_gain = (weight * log_gain).sum(axis=1)
    around = np.square(log_gain - mean_gain[:, None])
    features = [
        np.log(looks.share[members]),
        _spent_lately(looks)[members],
        all_chances,
        np.log(scale),
        (together - all_chances) / scale,
        mean_gain,
        np.sqrt((weight * around).sum(axis=1)),
        _differing(spread, weight),
        *_of_readings(told, members),
        np.full(len(members), math.log(pair[0].prior.trim_sd)),
        (weight * asked.is_step).sum(axis=1),
        *_spent_on_alike(looks, told, asked, weight),
    ]
    if len(pair) == 2:
        features += _of_second(gain, log_gains, spread, weight)
    return np.column_stack(features)


def _asked(looks: Looks, start: int, onsets: Ints, members: Ints) -> tuple[_Asked, Ints]:
    """What is asked at each look, and the onsets of the window's step columns."""
    considered = [onsets_at(int(looks.last_trim[m]), start, int(onsets[0])) for m in members]
    hands = [looks.hand_onsets_at(int(m), o) for m, o in zip(members, considered, strict=True)]
    hand_onsets = np.unique(np.concatenate([each.onsets for each in hands]))
    width = max(len(o) + len(h.onsets) for o, h in zip(considered, hands, strict=True))
    column = np.zeros((len(members), width), dtype=np.int64)
    weight = np.zeros(column.shape)
    is_step = np.zeros(column.shape, dtype=np.bool_)
    for place, (own, hand) in enumerate(zip(considered, hands, strict=True)):
        drifts, steps = slice(0, len(own)), slice(len(own), len(own) + len(hand.onsets))
        chances = np.exp(hand.log_chances)
        column[place, drifts] = own - onsets[0]
        weight[place, drifts] = np.exp(onset_log_chances(int(own[-1]) + 1, own))
        weight[place, np.searchsorted(own, hand.onsets)] += (1.0 - STEP_SHARE) * chances
        column[place, steps] = len(onsets) + np.searchsorted(hand_onsets, hand.onsets)
        weight[place, steps] = STEP_SHARE * chances
        is_step[place, steps] = True
    return _Asked(members, column, weight, is_step), hand_onsets


def _told(
    judged: Judged, looks: Looks, start: int, onsets: Ints, hand_onsets: Ints, last: int
) -> _Told:
    arrays, prior = judged.arrays, judged.prior
    part = arrays.choose(np.flatnonzero((arrays.trim >= start) & (arrays.look <= last)))
    spread = covariance(part, prior.trim_sd * judged.trim_scale, part.sd**2)
    inverse = np.linalg.inv(np.linalg.cholesky(spread))
    columns = np.column_stack(
        [drift_columns(part.trim, onsets), step_columns(part.trim, hand_onsets)]
    )
    change_sd = np.repeat([prior.drift_sd, prior.step_sd], [len(onsets), len(hand_onsets)])
    return _Told(part, inverse, inverse @ columns, change_sd)


def _gains_and_spread(
    pair: Sequence[Judged], told: Sequence[_Told], asked: _Asked
) -> tuple[Floats, Floats]:
    """The gains g [quantity, look, place], and the covariance [look, quantity, place, quantity,
    place] of u = A s / sqrt(g) on drift-free paths; u^2/2 is what a Bayes factor's log grows by."""
    shape = asked.column.shape
    count = len(pair)
    asking = [_at_looks(each, asked) for each in told]
    grams = [each.transpose(0, 2, 1) @ each for each in asking]
    spread = np.zeros((shape[0], count, shape[1], count, shape[1]))
    for place, gram in enumerate(grams):
        spread[:, place, :, place, :] = gram
    if count == 2:
        first, second = (each.transpose(0, 2, 1) for each in asking)
        beyond, shared = _trims_of_pair(pair, told)
        spread[:, 1, :, 1, :] += second @ (beyond @ asking[1])
        across = first @ (shared @ asking[1])
        spread[:, 0, :, 1, :] = across
        spread[:, 1, :, 0, :] = across.transpose(0, 2, 1)
    change_sd = np.stack([each.change_sd[asked.column] for each in told])
    information = np.stack([np.diagonal(gram, axis1=1, axis2=2) for gram in grams])
    gain = 1.0 + change_sd**2 * information
    scale = (change_sd / np.sqrt(gain)).transpose(1, 0, 2)
    return gain, spread * scale[:, :, :, None, None] * scale[:, None, None, :, :]


def _at_looks(told: _Told, asked: _Asked) -> Floats:
    """The whitened columns that each look asks, of its own readings [look, reading, place]."""
    known = told.part.look[None, :] <= asked.members[:, None]
    chosen: Floats = told.whitened[:, asked.column].transpose(1, 0, 2)
    return chosen * known[:, :, None] * (asked.weight > 0)[:, None, :]


def _trims_of_pair(pair: Sequence[Judged], told: Sequence[_Told]) -> tuple[Floats, Floats]:
    """What the simulated trims of a second quantity add, whitened: beyond what its own covariance
    assumes, and shared with the first."""
    (first, second), (one, other) = pair, told
    beyond = (SECOND_TRIM_SCALE**2 - second.trim_scale**2) * second.prior.trim_sd**2
    own = beyond * other.inverse @ same_trim(other.part.trim) @ other.inverse.T
    common = SHARED_TRIM * SECOND_TRIM_SCALE * first.prior.trim_sd * second.prior.trim_sd
    together = (one.part.trim[:, None] == other.part.trim[None, :]).astype(np.float64)
    return own, common * one.inverse @ together @ other.inverse.T


def _reach(spread: Floats, share: Floats) -> tuple[Floats, Floats]:
    """How steeply the log of one onset's factor climbs as the share of paths falls, and how high it
    climbs (before its - log(g)/2) at the share allowed [look, place]: exact for one quantity and
    for two that count alike, else between."""
    chance = share / VISITS_PER_FALSE_ALARM
    one = np.array([NormalDist().inv_cdf(1.0 - float(c) / 2.0) ** 2 / 2.0 for c in chance])
    own = [np.einsum("tjj->tj", spread[:, q, :, q, :]) for q in range(spread.shape[1])]
    if len(own) == 1:
        return own[0], own[0] * one[:, None]
    across = np.einsum("tjj->tj", spread[:, 0, :, 1, :])
    middle = 0.5 * (own[0] + own[1])
    apart = np.sqrt(0.25 * np.square(own[0] - own[1]) + np.square(across))
    most, least = middle + apart, np.maximum(0.0, middle - apart)
    return most, (most - least) * one[:, None] - least * np.log(chance)[:, None]


def _spent_lately(looks: Looks) -> Floats:
    """The shares of the looks before each, forgotten visit by visit."""
    spent = np.zeros(len(looks))
    for look in range(1, len(looks)):
        passed = looks.visits[look] - looks.visits[look - 1]
        spent[look] = (spent[look - 1] + looks.share[look - 1]) * np.exp(-passed / _SPENT_VISITS)
    return spent


def _differing(spread: Floats, weight: Floats) -> Floats:
    """The log of how many different onsets there are in effect: alike ones count as one."""
    squares = np.square(spread).sum(axis=(1, 3))
    own = np.sqrt(np.einsum("tjj->tj", squares)) + 1e-9
    scaled = weight / own
    return np.asarray(-np.log(np.einsum("ti,tij,tj->t", scaled, squares, scaled)))


def _of_readings(told: Sequence[_Told], members: Ints) -> tuple[Floats, Floats]:
    """The log of the number of readings by each look, and the mean log of their error SDs."""
    counts: Floats = np.zeros(len(members))
    logs: Floats = np.zeros(len(members))
    for each in told:
        taken = np.searchsorted(each.part.look, members, side="right")
        counts += taken
        logs += np.concatenate([[0.0], np.cumsum(np.log(each.part.sd))])[taken]
    return np.log(counts), logs / counts


def _spent_on_alike(
    looks: Looks, told: Sequence[_Told], asked: _Asked, weight: Floats
) -> list[Floats]:
    """Logs of the shares that earlier looks spent, each times how alike it was to this one.

    A score of an onset correlates with its own of an earlier look by the root of the informations'
    ratio; averaged over onsets by `weight`.
    """
    earlier = np.flatnonzero(looks.share > 0)
    known = np.zeros((len(asked.members), len(earlier), weight.shape[1]))
    now = np.zeros(weight.shape)
    for each in told:
        summed = np.cumsum(np.square(each.whitened), axis=0)
        summed = np.concatenate([np.zeros((1, summed.shape[1])), summed])
        taken = np.searchsorted(each.part.look, earlier, side="right")
        known += summed[taken][:, asked.column].transpose(1, 0, 2)
        taken = np.searchsorted(each.part.look, asked.members, side="right")
        now += summed[taken[:, None], asked.column]
    alike = np.clip(known / np.maximum(now, 1e-12)[:, None, :], 0.0, 1.0)
    spent = looks.share[earlier] * (earlier[None, :] < asked.members[:, None])
    found = []
    for power in _ALIKE_POWERS:
        each_look = ((alike ** (power // 2)) @ weight[:, :, None])[:, :, 0]
        found.append(np.log(_LEAST_SPENT + (each_look * spent).sum(axis=1)))
    return found


def _of_second(gain: Floats, log_gains: Floats, spread: Floats, weight: Floats) -> list[Floats]:
    """How much of the gain is the second quantity's, how it goes with the first, and how far its
    scores spread against what its own covariance assumes."""
    total = np.maximum((weight * log_gains.sum(axis=0)).sum(axis=1), 1e-9)
    first, second = (np.einsum("tjj->tj", spread[:, q, :, q, :]) for q in (0, 1))
    across = np.einsum("tjj->tj", spread[:, 0, :, 1, :]) / np.sqrt(first * second + 1e-12)
    assumed = (gain[1] - 1.0) / gain[1]
    strays = np.where(assumed > 1e-9, second / np.maximum(assumed, 1e-9), 1.0)
    return [
        (weight * log_gains[1]).sum(axis=1) / total,
        (weight * across).sum(axis=1),
        (weight * strays).sum(axis=1),
    ]
