"""Robust weights: a reading that its neighbours contradict counts less.

Each reading is compared with what all the others say of it (leave-one-out), allowing the level to
wander a little so that a true drift does not make honest readings look wrong.
"""

from dataclasses import dataclass

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints, SeriesArrays
from measurements.hoof.drift.model import covariance, jump_covariance, walk_covariance
from measurements.hoof.drift.priors import DriftPrior
from measurements.hoof.drift.surprise import PASSES, inflation_of, leave_one_out_surprise


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
