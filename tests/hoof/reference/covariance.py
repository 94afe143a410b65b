"""How readings vary together if nothing drifts, written out reading by reading."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tests.hoof.reference.house import (
    BELIEFS,
    DOWNWEIGHT_FROM_SD,
    HAND_FOOT_SHARE,
    LOOSENED,
    LOOSENED_BY_OTHERS,
    PAIRS_THAT_TEACH,
    PASSES,
    PLAN_SD,
)
from tests.hoof.reference.rows import Foot, Hand, Pair, Row, mean_of

Matrix = NDArray[np.float64]


class Hands:
    """What is believed of the hands' offsets on this foot: a mean each, a covariance of each two."""

    def __init__(self, foot: Foot, key: str) -> None:
        rows = foot.rows[key]
        own = list(dict.fromkeys(row.hand for row in rows))
        pairs = foot.pairs[key]
        linked = {hand for pair in pairs for hand in (pair.first, pair.second)}
        if len(linked & set(own)) < 2:
            pairs = []
        self.mean = dict.fromkeys(own, 0.0)
        self.covariance = {(a, b): 0.0 for a in own for b in own}
        sd = BELIEFS[key].offset_sd
        spread = {hand: (sd * self._looser(hand, rows, pairs)) ** 2 for hand in [*own, *linked]}
        if not pairs:
            for hand in own:
                self.covariance[hand, hand] = spread[hand]
            return
        by_foot = (HAND_FOOT_SHARE * sd) ** 2
        differences = np.array([pair.difference for pair in pairs])
        plain = np.array([pair.sd**2 for pair in pairs])
        shared = np.array([[_together(p, q, spread, by_foot) for q in pairs] for p in pairs])
        error = trusted(shared, differences, plain)[1] if len(pairs) > 1 else plain
        inverse = np.linalg.inv(shared + np.diag(error))
        with_pairs = {
            hand: np.array([spread[hand] * _sign(pair, hand) for pair in pairs]) for hand in own
        }
        for a in own:
            self.mean[a] = float(with_pairs[a] @ inverse @ differences)
            for b in own:
                beforehand = spread[a] + by_foot if a == b else 0.0
                told = float(with_pairs[a] @ inverse @ with_pairs[b])
                self.covariance[a, b] = beforehand - told

    @staticmethod
    def _looser(hand: Hand, rows: Sequence[Row], pairs: Sequence[Pair]) -> float:
        moments: dict[tuple[int, int, bool, bool], set[Hand]] = {}
        for row in rows:
            moment = (round(row.day), row.c, row.is_visit, row.is_after)
            moments.setdefault(moment, set()).add(row.hand)
        here = sum(1 for hands in moments.values() if len(hands) > 1 and hand in hands)
        elsewhere = sum(1 for pair in pairs if hand in (pair.first, pair.second))
        if here >= PAIRS_THAT_TEACH:
            return LOOSENED
        return LOOSENED_BY_OTHERS if here + elsewhere >= PAIRS_THAT_TEACH else 1.0


def _sign(pair: Pair, hand: Hand) -> int:
    return (pair.first == hand) - (pair.second == hand)


def _together(p: Pair, q: Pair, spread: dict[Hand, float], by_foot: float) -> float:
    """Covariance of two pairs' differences: the hands they share, more so on one foot."""
    total = 0.0
    for hand in {p.first, p.second}:
        total += _sign(p, hand) * _sign(q, hand) * (spread[hand] + by_foot * (p.foot == q.foot))
    return total


def beliefs_together(
    key: str, hands: Hands, rows: Sequence[Row], others: Sequence[Row], has_plan: bool
) -> Matrix:
    """Covariance of rows with others by level, growth, hands and plan: all but trim and error."""
    belief = BELIEFS[key]
    table = np.zeros((len(rows), len(others)))
    for i, a in enumerate(rows):
        for j, b in enumerate(others):
            total = hands.covariance[a.hand, b.hand]
            if a.level == b.level:
                total += belief.level_sd**2
            if a.shoeing is b.shoeing:
                total += belief.growth[a.shoeing][1] ** 2 * a.x * b.x
            if has_plan:
                total += PLAN_SD**2 * a.planned * b.planned
            table[i, j] = total
    return table


def one_trim(rows: Sequence[Row]) -> Matrix:
    """1 for two readings on one trim."""
    return np.array([[float(a.c == b.c) for b in rows] for a in rows])


def residuals(key: str, hands: Hands, rows: Sequence[Row]) -> Matrix:
    """What is left of the readings after what was expected beforehand."""
    return np.array([row.value - mean_of(key, row) - hands.mean[row.hand] for row in rows])


def wander(key: str, rows: Sequence[Row], jumps: Sequence[int]) -> Matrix:
    """A level that walks a little at each trim, and may have jumped after some of them."""
    belief = BELIEFS[key]
    table = np.zeros((len(rows), len(rows)))
    for i, a in enumerate(rows):
        for j, b in enumerate(rows):
            table[i, j] = belief.walk_sd**2 * min(a.c, b.c)
            both = sum(1 for onset in jumps if a.c > onset and b.c > onset)
            if jumps:
                table[i, j] += belief.step_sd**2 / len(jumps) * both
    return table


def trusted(shared: Matrix, residual: Matrix, plain: Matrix) -> tuple[list[float], Matrix]:
    """By how many SDs each reading misses the others, and the error variances enlarged for it.

    Each reading is predicted from all the others by the normal law, one by one.
    """
    error = plain.copy()
    surprise = [0.0] * len(plain)
    for _ in range(PASSES):
        spread = shared + np.diag(error)
        for i in range(len(plain)):
            rest = [j for j in range(len(plain)) if j != i]
            gain = np.linalg.inv(spread[np.ix_(rest, rest)]) @ spread[rest, i]
            missed = residual[i] - gain @ residual[rest]
            variance = shared[i, i] + plain[i] - gain @ spread[rest, i]
            surprise[i] = float(abs(missed) / variance**0.5)
        error = np.array(
            [
                p * max(1.0, (t / DOWNWEIGHT_FROM_SD) ** 4)
                for p, t in zip(plain, surprise, strict=True)
            ]
        )
    return surprise, error
