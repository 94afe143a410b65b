"""How far hands read apart: what is believed of it beforehand, and what pairs of readings teach.

A hand: one person with one way of measuring. A pair: two hands that measured the same foot at the
same moment of a day. Pairs on the foot that is judged are among its readings. Pairs on the
horse's other feet come in here, as a normal prior on the offsets (Gelman, Bayesian Data Analysis
3rd ed. section 3.5, from memory): o ~ N(0, S), differences d = H o + feet + errors.

Decided 2026-11: pairs on the judged foot are readings like others; pairs on the horse's other feet
make the prior of the offsets.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.drift.surprise import PASSES, inflation_of, leave_one_out_surprise

Floats = NDArray[np.float64]

# A hand does not read every foot alike: the SD of that, as a share of the SD between hands (0.5 of
# 1 deg). House default.
HAND_FOOT_SHARE = 0.5
# From so many pairs on, they say themselves how far two hands lie apart, and the belief beforehand
# is loosened: hands may differ twice as much as is usual. Less where some of the pairs are on other
# feet: each hand's own share of a foot leaves room there. House defaults, by the benchmark's rows.
PAIRS_THAT_TEACH = 5
LOOSENED = 2.0
LOOSENED_BY_OTHER_FEET = 1.25


@dataclass(frozen=True)
class HandPair:
    """Two hands' readings of one other foot of the horse at one moment of a day.

    `first`, `second`: opaque keys of the hands, as the readings'. `difference`: the first's value
    minus the second's, base unit; `sd` (> 0): its error SD. `foot`: an opaque key of the foot.
    `at_days`: the day, same origin as the readings'.
    """

    at_days: float
    foot: str
    first: str
    second: str
    difference: float
    sd: float


@dataclass(frozen=True)
class OffsetPrior:
    """The offsets of a series' hands: `mean` [hand] and `root` [hand, column] with root root' their
    covariance, base unit."""

    mean: Floats
    root: Floats


def offset_prior(
    hands: Sequence[str], offset_sd: float, pairs: Sequence[HandPair], same_foot: Counter[str]
) -> OffsetPrior:
    """What is believed of the hands of a series.

    `hands`: their keys. `offset_sd` (> 0): between hands, base unit. `pairs`: on other feet; those
    of hands unknown here may still link two that are. `same_foot`: by hand, on how many moments
    another hand measured this foot too.
    """
    compared = {hand for pair in pairs for hand in (pair.first, pair.second)}
    if len(compared & set(hands)) < 2:  # pairs of others say nothing of these
        pairs, compared = (), set()
    everybody = [*hands, *sorted(compared - set(hands))]
    other_feet = Counter(hand for pair in pairs for hand in (pair.first, pair.second))
    between = np.array(
        [offset_sd * _loosened(same_foot[hand], other_feet[hand]) for hand in everybody],
        dtype=np.float64,
    )
    if not pairs:
        return OffsetPrior(np.zeros(len(hands)), np.diag(between))
    by_foot = HAND_FOOT_SHARE * offset_sd
    signs = _signs(pairs, everybody)
    feet = np.array([pair.foot for pair in pairs])
    same_foot_only = by_foot**2 * (signs @ signs.T) * (feet[:, None] == feet[None, :])
    shared: Floats = (signs * between**2) @ signs.T + same_foot_only
    differences = np.array([pair.difference for pair in pairs])
    spread = shared + np.diag(_errors(pairs, shared, differences))
    across = (signs * between**2)[:, : len(hands)]
    gain = np.linalg.solve(spread, across).T
    # On the foot that is judged each hand reads by its own share of a foot besides.
    here = between[: len(hands)] ** 2 + by_foot**2
    left = np.diag(here) - gain @ across
    return OffsetPrior(gain @ differences, np.linalg.cholesky(left).astype(np.float64))


def _loosened(same_foot: int, other_feet: int) -> float:
    """By how much more a hand may be off than is usual, with so many pairs to say it."""
    if same_foot >= PAIRS_THAT_TEACH:
        return LOOSENED
    return LOOSENED_BY_OTHER_FEET if same_foot + other_feet >= PAIRS_THAT_TEACH else 1.0


def _signs(pairs: Sequence[HandPair], hands: Sequence[str]) -> Floats:
    """H: +1 for the first and -1 for the second hand of each pair."""
    place = {hand: number for number, hand in enumerate(hands)}
    signs = np.zeros((len(pairs), len(hands)))
    for number, pair in enumerate(pairs):
        signs[number, place[pair.first]], signs[number, place[pair.second]] = 1.0, -1.0
    return signs


def _errors(pairs: Sequence[HandPair], shared: Floats, differences: Floats) -> Floats:
    """The error variances, that of a pair which the others contradict enlarged."""
    plain = np.array([pair.sd for pair in pairs]) ** 2
    error = plain
    for _ in range(PASSES if len(pairs) > 1 else 0):
        spread = shared + np.diag(error)
        error = plain * inflation_of(leave_one_out_surprise(spread, differences, error, plain))
    return error
