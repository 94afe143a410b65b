"""How well people agree who placed points on the same pictures, and how far each one's taps stray.

A repeat never replaces a reading: it tells how large its error is.
"""

import math
from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from measurements.hoof.errors import HoofError
from measurements.hoof.pictures.measured import TAP_PX, Point
from measurements.hoof.quantities import Z_95_TWO_SIDED
from measurements.hoof.repeats import LOWEST_SHARE, PRIOR_DEGREES, PersonBias, bias_between

# Fewer pictures say nothing of an ICC; its interval by leaving out one needs some more. House
# defaults.
PICTURES_NEEDED = 3
PICTURES_FOR_INTERVAL = 5
# Two points further apart than so many times the usual tap error are two different things (the
# wrong point, the wrong foot): a slip, which says nothing of how steady a hand is. House default.
SLIP_SHARE = 8.0
KEPT_LONG_EDGE_PX = 2_400.0  # tap errors are told for pictures of this long edge
_ROUNDS = 50


@dataclass(frozen=True)
class Icc:
    """ICC(2,1): how much of what differs between readings is the pictures, any person reading.

    `low95`, `high95` by leaving out one picture at a time (`None` with fewer than five).
    """

    value: float
    low95: float | None
    high95: float | None
    pictures: int


def icc_of_mean_squares(
    pictures: float, people: float, rest: float, n_pictures: int, n_people: int
) -> float:
    """ICC(2,1), absolute agreement of single readings, from the mean squares of a two-way table.

    Shrout & Fleiss, Psychol Bull 1979;86:420-428 (from memory). Raises `HoofError` when all
    readings are alike.
    """
    whole = pictures + (n_people - 1) * rest + n_people * (people - rest) / n_pictures
    if not whole > 0:
        raise HoofError("Readings that are all alike tell nothing of agreement.")
    return (pictures - rest) / whole


def icc(table: Sequence[Sequence[float]]) -> Icc | None:
    """ICC(2,1) of a table: a row a picture, a column a person, base unit. `None` when too few.

    Raises `HoofError` for values that are not numbers or rows of different length.
    """
    if len({len(row) for row in table}) > 1:
        raise HoofError("Every picture needs a reading of every person compared.")
    values = np.array(table, dtype=np.float64)
    if not np.isfinite(values).all():
        raise HoofError("Compared readings must be numbers.")
    if len(values) < PICTURES_NEEDED or values.shape[1] < 2 or np.ptp(values) == 0:
        return None
    whole = _icc(values)
    if len(values) < PICTURES_FOR_INTERVAL:
        return Icc(whole, None, None, len(values))
    without = [_icc(np.delete(values, place, axis=0)) for place in range(len(values))]
    apart = np.array([_stretched(one) for one in without])
    count = len(values)
    sd = math.sqrt((count - 1) / count * float(((apart - apart.mean()) ** 2).sum()))
    middle, half = _stretched(whole), Z_95_TWO_SIDED * sd
    return Icc(whole, math.tanh(middle - half), math.tanh(middle + half), count)


def _stretched(value: float) -> float:
    """Fisher's z, held away from its poles."""
    return math.atanh(min(max(value, -0.999999), 0.999999))


def _icc(values: np.ndarray) -> float:
    count, people = values.shape
    mean = values.mean()
    rows, columns = values.mean(axis=1), values.mean(axis=0)
    between_rows = people * float(((rows - mean) ** 2).sum()) / (count - 1)
    between_columns = count * float(((columns - mean) ** 2).sum()) / (people - 1)
    left = values - rows[:, None] - columns[None, :] + mean
    rest = float((left**2).sum()) / ((count - 1) * (people - 1))
    if between_rows + between_columns + rest < 1e-12:
        return 1.0
    return icc_of_mean_squares(between_rows, between_columns, rest, count, people)


@dataclass(frozen=True)
class Agreement:
    """Two people on the same pictures: `bias` with limits of agreement (base unit), and the ICC."""

    bias: PersonBias
    icc: Icc | None


def agreement(
    pairs: Sequence[tuple[float, float]], first_sd: float, second_sd: float
) -> Agreement | None:
    """How two people agree on one quantity: (first's, second's) value of each picture, base unit.

    `first_sd`, `second_sd` (> 0): usual error of one value. `None` without a pair. Raises
    `HoofError`.
    """
    bias = bias_between(pairs, first_sd, second_sd)
    return None if bias is None else Agreement(bias, icc(pairs))


@dataclass(frozen=True)
class Placed:
    """Points one person placed on one picture, its long edge in px."""

    by: Hashable
    picture: Hashable
    points: Mapping[str, Point]
    long_edge_px: float = KEPT_LONG_EDGE_PX


@dataclass(frozen=True)
class TapError:
    """A person's tap error: SD along each axis, px of a picture of the usual size, and how many
    differences between taps stand behind it."""

    sd_px: float
    differences: int

    def on(self, long_edge_px: float) -> float:
        """The same error in px of a picture with this long edge (> 0)."""
        return self.sd_px * long_edge_px / KEPT_LONG_EDGE_PX


def tap_errors(placed: Sequence[Placed], usual_px: float = TAP_PX) -> dict[Hashable, TapError]:
    """Each person's own tap error from points that were placed again, by themselves or by others.

    `usual_px` (> 0) is believed as much as `PRIOR_DEGREES` differences; without any the usual error
    comes back. Where the same two people always meet, what they differ by is shared out
    by what each is known for (expectation and maximisation, Dempster et al. 1977, from memory).
    Differences past `SLIP_SHARE` are left out. Raises `HoofError`.
    """
    if not (math.isfinite(usual_px) and usual_px > 0):
        raise HoofError("The usual tap error must be more than zero.")
    people = {one.by for one in placed}
    pairs = _pairs(placed, SLIP_SHARE * usual_px)
    variance = dict.fromkeys(people, usual_px**2)
    counts: dict[Hashable, float] = defaultdict(float)
    for first, second, _, weight in pairs:
        counts[first] += weight
        if second != first:
            counts[second] += weight
    for _ in range(_ROUNDS):
        total: dict[Hashable, float] = defaultdict(float)
        for first, second, square, weight in pairs:
            if first == second:
                total[first] += weight * square / 2
                continue
            own, other = variance[first], variance[second]
            both = own + other
            total[first] += weight * (own * other / both + (own / both) ** 2 * square)
            total[second] += weight * (own * other / both + (other / both) ** 2 * square)
        variance = {
            who: (PRIOR_DEGREES * usual_px**2 + total[who]) / (PRIOR_DEGREES + counts[who])
            for who in people
        }
    return {
        who: TapError(max(math.sqrt(variance[who]), LOWEST_SHARE * usual_px), round(counts[who]))
        for who in people
    }


def _pairs(
    placed: Sequence[Placed], slip_px: float
) -> list[tuple[Hashable, Hashable, float, float]]:
    """Differences as (first, second, square along one axis, weight): two axes a point.

    Of n placings of one point there are n(n-1)/2 differences but only n-1 independent ones: each
    counts 2/n.
    """
    by_picture: dict[Hashable, list[Placed]] = defaultdict(list)
    for one in placed:
        if not one.long_edge_px > 0:
            raise HoofError("A picture's size must be more than zero.")
        by_picture[one.picture].append(one)
    found = []
    for together in by_picture.values():
        for first, second in combinations(together, 2):
            for name in first.points.keys() & second.points.keys():
                apart = [
                    KEPT_LONG_EDGE_PX * (a - b) / first.long_edge_px
                    for a, b in zip(first.points[name], second.points[name], strict=True)
                ]
                if math.hypot(*apart) <= slip_px:
                    weight = 2.0 / len(together)
                    found += [(first.by, second.by, gap**2, weight) for gap in apart]
    return found
