"""Where a foot came into other hands, or is measured in another way, and what would settle it.

After such a change the numbers cannot tell a changed foot from a changed hand, unless both have
measured the same foot at one moment, or the new hand measured before its first trim.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations
from math import hypot

from measurements.hoof.drift.arrays import number_looks, sorted_readings, source_label
from measurements.hoof.drift.hands import HandReading, find_handovers
from measurements.hoof.drift.offsets import HandPair
from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.quantities import Method, TrimState
from measurements.hoof.series import SeriesReading
from measurements.queries.numbers import ORIGIN, Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.queries.repeats import own_rows, person_key, reading_sd

# So many pairs on the same foot, and a fall of 3 deg at a change of hands is found in nine of ten
# (benchmark). House default.
SAME_FOOT_PAIRS_NEEDED = 3


@dataclass(frozen=True)
class HandChange:
    """The newest change of hands of one quantity on one foot.

    `old`, `new`: a reading by each. `on`: the day of the new one's first reading at a visit. `same_foot`,
    `other_feet`: on how many moments both measured this foot, another foot of the horse.
    `measured_before`: whether the new one measured before its first trim.
    """

    old: ReadingValue
    new: ReadingValue
    on: date
    same_foot: int
    other_feet: int
    measured_before: bool

    @property
    def is_settled(self) -> bool:
        """Whether the pairs on this foot tell a changed foot from a changed hand."""
        return self.same_foot >= SAME_FOOT_PAIRS_NEEDED

    @property
    def is_one_person(self) -> bool:
        """Whether only the way of measuring changed."""
        return person_key(self.old) == person_key(self.new)


def hand_pairs(numbers: Numbers, foot: str) -> dict[str, list[HandPair]]:
    """What hands have read beside each other on the horse's other feet, by judged quantity."""
    found = {quantity: _pairs(numbers, foot, quantity) for quantity in DRIFT_QUANTITIES}
    return {quantity: pairs for quantity, pairs in found.items() if pairs}


def _pairs(numbers: Numbers, foot: str, quantity: str) -> list[HandPair]:
    return numbers.worked_out(
        ("hand pairs", foot, quantity), lambda: list(_pairs_made(numbers, foot, quantity))
    )


def _hands(numbers: Numbers, quantity: str) -> set[str]:
    """Everybody who measures it on this horse, and how."""
    return numbers.worked_out(
        ("hands", quantity),
        lambda: {_hand(row) for row in own_rows(numbers.readings) if row.quantity == quantity},
    )


def _pairs_made(numbers: Numbers, foot: str, quantity: str) -> Iterator[HandPair]:
    if len(_hands(numbers, quantity)) < 2:
        return  # most horses: nothing to compare, and their readings are not gone through a foot
    cells: dict[tuple[str, date, str], dict[str, list[ReadingValue]]] = defaultdict(dict)
    for row in own_rows(numbers.readings):
        if row.quantity == quantity and row.foot != foot:
            moment = (row.foot, row.taken_on, row.trim_state)
            cells[moment].setdefault(_hand(row), []).append(row)
    for (other, on, _), hands in cells.items():
        for first, second in combinations(sorted(hands), 2):
            yield HandPair(
                at_days=float((on - ORIGIN).days),
                foot=other,
                first=first,
                second=second,
                difference=_mean(hands[first]) - _mean(hands[second]),
                sd=hypot(_sd(numbers, hands[first]), _sd(numbers, hands[second])),
            )


def hand_change(numbers: Numbers, foot: str, quantity: str) -> HandChange | None:
    """The newest change of hands in a series; `None` when the same hands have measured it."""
    return numbers.worked_out(
        ("hand change", foot, quantity), lambda: _newest_change(numbers, foot, quantity)
    )


def _newest_change(numbers: Numbers, foot: str, quantity: str) -> HandChange | None:
    rows = [row for _, row in sorted_readings(numbers.series(foot, quantity))]
    handovers = find_handovers(_visit_readings(rows))
    if not handovers:
        return None
    last = handovers[-1]
    by_key = {row.public_id: row for row in numbers.readings[foot, quantity]}
    old, new = (
        [
            row
            for row in rows
            if source_label(row) in hands and row.trim_state is not TrimState.BETWEEN
        ]
        for hands in ({last.old}, last.new)
    )
    first = new[0]
    return HandChange(
        old=by_key[old[-1].key],
        new=by_key[first.key],
        on=ORIGIN + timedelta(days=round(first.at_days)),
        same_foot=_same_foot(rows, last.old, last.new),
        other_feet=sum(
            {pair.first, pair.second} & last.new != set() and last.old in (pair.first, pair.second)
            for pair in _pairs(numbers, foot, quantity)
        ),
        measured_before=first.trim_state is TrimState.BEFORE,
    )


def _visit_readings(rows: Sequence[SeriesReading]) -> Iterator[HandReading]:
    looks = number_looks([row.at_days for row in rows])
    for look, row in zip(looks, rows, strict=True):
        if row.trim_state is not TrimState.BETWEEN:
            is_after = row.trim_state is TrimState.AFTER
            yield HandReading(int(look), row.trim_index, is_after, source_label(row))


def _same_foot(rows: Sequence[SeriesReading], old: str, new: frozenset[str]) -> int:
    moments: dict[tuple[object, ...], set[str]] = defaultdict(set)
    for row in rows:
        moments[row.at_days, row.trim_index, row.trim_state].add(source_label(row))
    return sum(old in hands and not new.isdisjoint(hands) for hands in moments.values())


def _hand(row: ReadingValue) -> str:
    """The key of a hand, as the readings of a series have it."""
    return f"{Method(row.method).value}\0{person_key(row)}"


def _mean(rows: Sequence[ReadingValue]) -> float:
    return sum(float(row.value) for row in rows) / len(rows)


def _sd(numbers: Numbers, rows: Sequence[ReadingValue]) -> float:
    """The error SD of the mean of one hand's readings at one moment."""
    return hypot(*(reading_sd(row, numbers.errors) for row in rows)) / len(rows)
