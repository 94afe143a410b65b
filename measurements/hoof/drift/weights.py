"""Robust weights: a reading that its neighbours contradict counts less.

Each reading is compared with what all the others say of it (leave-one-out), allowing the level to
wander a little so that a true drift does not make honest readings look wrong.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints, SeriesArrays
from measurements.hoof.drift.model import covariance, jump_covariance, walk_covariance
from measurements.hoof.drift.priors import DriftPrior
from measurements.hoof.drift.surprise import (
    PASSES,
    inflation_of,
    leave_one_out_surprise,
    surprise_of,
)


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


def robust_weights(
    arrays: SeriesArrays, prior: DriftPrior, hand_onsets: Ints | None = None
) -> ReadingWeights:
    """Weights of all readings; a single reading is always believed.

    `hand_onsets`: trims after which the level may have changed at once, because hands changed: what
    a new hand reads is not doubted for lying apart from what the old one read.
    """
    plain = arrays.sd**2
    inflation = np.ones_like(plain)
    surprise = np.zeros_like(plain)
    if len(plain) < 2:
        return ReadingWeights(surprise, inflation)
    base = covariance(arrays, prior.trim_sd, np.zeros_like(plain))
    base += walk_covariance(arrays.trim, prior.walk_sd)
    if hand_onsets is not None and len(hand_onsets):
        base += jump_covariance(arrays.trim, hand_onsets, prior.step_sd)
    for _ in range(PASSES):
        error = plain * inflation
        surprise = leave_one_out_surprise(base + np.diag(error), arrays.residual, error, plain)
        inflation = inflation_of(surprise)
    return ReadingWeights(surprise, inflation)


def inflation_by_look(
    arrays: SeriesArrays, prior: DriftPrior, taken: Ints, hand_onsets: Sequence[Ints]
) -> Floats:
    """The inflation of every reading at every look, which knows the first `taken` of them.

    [look, reading], 1 where not yet taken; as `robust_weights` look by look with its `hand_onsets`.
    """
    inflation = np.ones((len(taken), len(arrays.trim)))
    alike: dict[tuple[int, ...], list[int]] = {}
    for place, onsets in enumerate(hand_onsets):
        if taken[place] >= 2:
            alike.setdefault(tuple(onsets.tolist()), []).append(place)
    for onsets_asked, places in alike.items():
        leave_out = _LeaveOut(arrays, prior, np.array(onsets_asked, dtype=np.int64))
        inflation[places] = leave_out.inflation(taken[places])
    return inflation


class _LeaveOut:
    """Readings in time, each told from all others that a look knows, by one root for all looks.

    The root of the covariance of the first readings is the corner of the whole one's, so that P r
    and the diagonal of P (see `leave_one_out_surprise`) are sums over the rows of its inverse.
    """

    def __init__(self, arrays: SeriesArrays, prior: DriftPrior, hand_onsets: Ints) -> None:
        self.plain = arrays.sd**2
        spread = covariance(arrays, prior.trim_sd, self.plain)
        spread += walk_covariance(arrays.trim, prior.walk_sd)
        if len(hand_onsets):
            spread += jump_covariance(arrays.trim, hand_onsets, prior.step_sd)
        self.inverse = np.linalg.inv(np.linalg.cholesky(spread))
        white = self.inverse @ arrays.residual
        self.scores = np.cumsum(self.inverse * white[:, None], axis=0)
        self.diagonals = np.cumsum(np.square(self.inverse), axis=0)

    def inflation(self, taken: Ints) -> Floats:
        """At looks that know so many readings [look, reading]."""
        known = np.arange(len(self.plain))[None, :] < taken[:, None]
        scores, diagonals = self.scores[taken - 1], np.where(known, self.diagonals[taken - 1], 1.0)
        first = inflation_of(surprise_of(scores / diagonals, 1.0 / diagonals))
        inflation = np.where(known, first, 1.0)
        for place in np.flatnonzero((inflation > 1.0).any(axis=1)):
            count = int(taken[place])
            own = inflation[place, :count]
            for _ in range(PASSES - 1):
                own = self._again(count, own)
            inflation[place, :count] = own
        return inflation

    def _again(self, count: int, inflation: Floats) -> Floats:
        """The inflation of the first readings after errors were enlarged by the one given."""
        enlarged = np.flatnonzero(inflation > 1.0)
        score, diagonal = self.scores[count - 1, :count], self.diagonals[count - 1, :count]
        if len(enlarged):
            score, diagonal = self._enlarged(count, enlarged, inflation[enlarged])
        plain = self.plain[:count]
        variance = 1.0 / diagonal - plain * inflation + plain
        return inflation_of(surprise_of(score / diagonal, variance))

    def _enlarged(self, count: int, places: Ints, inflation: Floats) -> tuple[Floats, Floats]:
        """P r and the diagonal of P once some errors are enlarged (Woodbury's formula)."""
        more = self.plain[places] * (inflation - 1.0)
        inverse = self.inverse[:count, :count]
        columns = inverse.T @ inverse[:, places]
        score = self.scores[count - 1, :count]
        block = columns[places]
        gain = columns @ np.linalg.inv(np.diag(1.0 / more) + block)
        taken_off = gain @ score[places]
        diagonal = self.diagonals[count - 1, :count] - (gain * columns).sum(axis=1)
        # Of the enlarged ones themselves hardly anything would be left of the difference.
        apart = np.linalg.inv(block)
        joint = np.linalg.inv(apart + np.diag(more))
        diagonal[places] = np.diag(joint)
        total = score - taken_off
        total[places] = joint @ (apart @ score[places])
        return total, diagonal
