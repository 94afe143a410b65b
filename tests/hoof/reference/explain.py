"""What a change comes to: exact normal laws of rate, level and growth, mixed over onset and grid.

With a change of prior SD s after an onset, the readings, the change, the present level and the growth
are jointly normal; given the readings, each is conditioned by the textbook formula.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from tests.hoof.reference.covariance import Matrix, beliefs_together
from tests.hoof.reference.house import BELIEFS
from tests.hoof.reference.mixture import Mixture
from tests.hoof.reference.rows import Hand, Row, mean_of
from tests.hoof.reference.search import Told, drift_column, log_sum, step_column


class Shape(Enum):
    """A little at every trim, or once."""

    DRIFT = "drift"
    STEP = "step"


@dataclass(frozen=True)
class Part:
    """One normal law of (size, level, growth), with its weight; `reach`: size times this is what
    the change has come to by the last trim."""

    weight: float
    onset: int
    reach: float
    mean: Matrix
    spread: Matrix


def column_of(shape: Shape, rows: Sequence[Row], onset: int) -> Matrix:
    """How a change after this onset moves each reading, per unit of its size."""
    return drift_column(rows, onset) if shape is Shape.DRIFT else step_column(rows, onset)


def size_sd(key: str, shape: Shape, explain: bool) -> float:
    """The SD of a change beforehand: wider where it is described than where it is sought."""
    belief = BELIEFS[key]
    if shape is Shape.STEP:
        return belief.step_sd
    return belief.explain_sd if explain else belief.drift_sd


def main_hand(told: Told) -> Hand:
    """The hand of most readings; of equals, the one that was first on this foot."""
    counts: dict[Hand, int] = {}
    for row in told.rows:
        counts[row.hand] = counts.get(row.hand, 0) + 1
    most = max(counts.values())
    return next(hand for hand in told.hands.mean if counts.get(hand) == most)


def conditioned(told: Told, shape: Shape, onset: int, last: int, sd: float) -> list[Part]:
    """By grid point, the law of (size, level, growth) with a change after this onset.

    The level: just after the last trim, as the hand of most readings would read it, the change
    included. An `sd` of 0 is no change.
    """
    rows, latest = told.rows, told.rows[-1]
    column = column_of(shape, rows, onset)
    reach = float(max(0, last - onset)) if shape is Shape.DRIFT else float(last > onset)
    main = main_hand(told)
    # A reading without error by that hand, just after the last trim.
    now = Row(**{**vars(latest), "x": 0.0, "hand": main})
    hands_now = beliefs_together(told.key, told.hands, [now], rows, told.has_plan)[0]
    growth_mean, growth_sd = BELIEFS[told.key].growth[latest.shoeing]
    growing = np.array(
        [growth_sd**2 * row.x if row.shoeing is latest.shoeing else 0.0 for row in rows]
    )
    variance = sd**2
    across = np.stack([variance * column, hands_now + variance * reach * column, growing])
    own = np.zeros((3, 3))
    own[0, 0] = variance
    own[0, 1] = own[1, 0] = variance * reach
    level = beliefs_together(told.key, told.hands, [now], [now], told.has_plan)[0, 0]
    own[1, 1] = level + variance * reach**2
    own[2, 2] = growth_sd**2
    start = np.array([0.0, mean_of(told.key, now) + told.hands.mean[main], growth_mean])
    factors = told.factors(column, sd) if sd > 0 else [0.0] * len(told.spread)
    parts = []
    for spread, weight, factor in zip(told.spread, told.log_weight, factors, strict=True):
        inverse = np.linalg.inv(spread + variance * np.outer(column, column))
        mean = start + across @ inverse @ told.residual
        left = own - across @ inverse @ across.T
        parts.append(Part(math.exp(weight + factor), onset, reach, mean, left))
    return parts


def law(
    told: Told, shape: Shape, last: int, sd: float, onset_chances: Mapping[int, float]
) -> list[Part]:
    """The law of (size, level, growth) over the onsets, each counting as its chance says."""
    parts: list[Part] = []
    for onset, chance in onset_chances.items():
        of_onset = conditioned(told, shape, onset, last, sd)
        total = sum(part.weight for part in of_onset)
        parts += [
            Part(chance * p.weight / total, p.onset, p.reach, p.mean, p.spread) for p in of_onset
        ]
    return parts


def onset_chances(told: Sequence[Told], shape: Shape, onsets: Sequence[int]) -> dict[int, float]:
    """How likely each onset is, the quantities' evidence added."""
    logs = [
        sum(
            each.evidence(column_of(shape, each.rows, onset), size_sd(each.key, shape, True))
            for each in told
        )
        for onset in onsets
    ]
    total = log_sum(logs)
    return {onset: math.exp(each - total) for onset, each in zip(onsets, logs, strict=True)}


def shape_strength(told: Sequence[Told], shape: Shape, onsets: Sequence[int]) -> float:
    """The log evidence for this shape of change, summed over the onsets alike."""
    return log_sum(
        [
            sum(
                each.evidence(column_of(shape, each.rows, onset), size_sd(each.key, shape, False))
                for each in told
            )
            for onset in onsets
        ]
    )


SIZE, LEVEL, GROWTH = 0, 1, 2


def marginal(parts: Sequence[Part], place: int) -> Mixture:
    """The law of one of the three alone."""
    return Mixture(
        [
            (p.weight, float(p.mean[place]), math.sqrt(max(0.0, float(p.spread[place, place]))))
            for p in parts
        ]
    )


def change_law(parts: Sequence[Part]) -> Mixture:
    """The law of what the change has come to."""
    return Mixture(
        [
            (p.weight, p.reach * float(p.mean[0]), p.reach * math.sqrt(float(p.spread[0, 0])))
            for p in parts
        ]
    )
