"""Readings as the model sees them: looks, trims, levels, hands and plans numbered, by plain loops."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading
from tests.hoof.reference.house import BELIEFS, ORDER, PERIOD_DAYS, SAME_VISIT_DAYS

Hand = tuple[Method, str]


@dataclass(frozen=True)
class Plan:
    """From the first trim after `from_days`: so much a trim, `visits` times."""

    from_days: float
    rate: float
    visits: int


@dataclass(frozen=True)
class Pair:
    """Two hands beside each other on another foot: `difference` is first minus second."""

    at_days: float
    foot: str
    first: Hand
    second: Hand
    difference: float
    sd: float


@dataclass(frozen=True)
class Row:
    """One reading: `c` its trim from the series' first, `x` its share of 56 days since the trim.

    `level`: which baseline it belongs to. `planned`: how far the plan meant to have come.
    `place`: as handed in.
    """

    day: float
    value: float
    sd: float
    c: int
    x: float
    look: int
    level: int
    shoeing: Shoeing
    hand: Hand
    planned: float
    is_visit: bool
    is_after: bool
    place: int

    @property
    def trim_day(self) -> float:
        return self.day - self.x * PERIOD_DAYS


@dataclass(frozen=True)
class Foot:
    """All that is judged together: `rows` by quantity, toe first."""

    rows: dict[str, list[Row]]
    first_trim: int
    plans: dict[str, list[Plan]]
    pairs: dict[str, list[Pair]]
    first_onset: int

    @property
    def every_row(self) -> list[Row]:
        return [row for rows in self.rows.values() for row in rows]


def read_foot(
    readings: Mapping[str, Sequence[SeriesReading]],
    plans: Mapping[str, Sequence[Plan]],
    pairs: Mapping[str, Sequence[Pair]],
    settled_days: float | None,
) -> Foot:
    """Sorts and numbers the readings of a foot."""
    keys = [key for key in ORDER if readings.get(key)]
    every = [reading for key in keys for reading in readings[key]]
    first_trim = min(reading.trim_index for reading in every)
    look_of = _looks(sorted({reading.at_days for reading in every}))
    rows = {
        key: _rows(readings[key], every, look_of, list(plans.get(key, ())), settled_days)
        for key in keys
    }
    first_onset = 0
    if settled_days is not None:
        for key in keys:
            before = [row.c for row in rows[key] if row.day < settled_days]
            first_onset = max([first_onset, *before])
    return Foot(
        rows,
        first_trim,
        {key: list(plans.get(key, ())) for key in keys},
        {key: list(dict.fromkeys(pairs.get(key, ()))) for key in keys},
        first_onset,
    )


def _looks(days: Sequence[float]) -> dict[float, int]:
    """Days less than three quarters apart from the first of their visit are one look."""
    look_of: dict[float, int] = {}
    start, number = None, -1
    for day in days:
        if start is None or day >= start + SAME_VISIT_DAYS:
            start, number = day, number + 1
        look_of[day] = number
    return look_of


_STATES = [TrimState.BEFORE, TrimState.BETWEEN, TrimState.AFTER]


def _rows(
    readings: Sequence[SeriesReading],
    every: Sequence[SeriesReading],
    look_of: Mapping[float, int],
    plans: Sequence[Plan],
    settled_days: float | None,
) -> list[Row]:
    first_trim = min(reading.trim_index for reading in every)
    placed: list[tuple[int, SeriesReading]] = []
    for place, reading in enumerate(readings):
        if reading not in [other for _, other in placed]:
            placed.append((place, reading))
    placed.sort(
        key=lambda item: (
            item[1].at_days,
            item[1].trim_index,
            _STATES.index(item[1].trim_state),
            item[1].method.value,
            item[1].by,
            item[1].sd,
            item[1].value,
        )
    )
    rows: list[Row] = []
    level, before = -1, None
    for place, reading in placed:
        baseline = (reading.shoeing, settled_days is not None and reading.at_days >= settled_days)
        if baseline != before:
            level, before = level + 1, baseline
        rows.append(
            Row(
                day=reading.at_days,
                value=reading.value,
                sd=reading.sd,
                c=reading.trim_index - first_trim,
                x=reading.days_since_trim / PERIOD_DAYS,
                look=look_of[reading.at_days],
                level=level,
                shoeing=reading.shoeing,
                hand=(reading.method, reading.by),
                planned=_planned(reading, every, plans),
                is_visit=reading.trim_state is not TrimState.BETWEEN,
                is_after=reading.trim_state is TrimState.AFTER,
                place=place,
            )
        )
    return rows


def _planned(
    reading: SeriesReading, every: Sequence[SeriesReading], plans: Sequence[Plan]
) -> float:
    """The plan counts the trims of the foot since it began, the trim of its own visit among them."""
    total = 0.0
    for plan in plans:
        done_before = [
            other.trim_index
            for other in every
            if other.at_days - other.days_since_trim < plan.from_days - SAME_VISIT_DAYS
        ]
        last = max(done_before) if done_before else min(r.trim_index for r in every) - 1
        steps = min(max(0, reading.trim_index - last), plan.visits)
        total += plan.rate * steps
    return total


def mean_of(key: str, row: Row) -> float:
    """The value expected beforehand, hands apart."""
    belief = BELIEFS[key]
    return belief.level_mean + belief.growth[row.shoeing][0] * row.x + row.planned
