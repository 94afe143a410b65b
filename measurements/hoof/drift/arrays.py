"""A series of readings as arrays: sorted, numbered, with its design columns.

Everything later works on these arrays. The order in which readings were entered, the origin of
the days and of the trim numbers leave no trace here.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.drift.offsets import HandPair, offset_prior
from measurements.hoof.drift.priors import GROWTH_PERIOD_DAYS, PLAN_FULFILMENT_SD, DriftPrior
from measurements.hoof.quantities import TrimState
from measurements.hoof.series import SeriesReading

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Readings less than this apart belong to one visit: a visit is over within a working day.
SAME_VISIT_DAYS = 0.75

_STATE_ORDER = {TrimState.BEFORE: 0, TrimState.BETWEEN: 1, TrimState.AFTER: 2}


@dataclass(frozen=True)
class PlannedChange:
    """Movement that was agreed: not a finding, unless the foot departs from it.

    From the first trim after `from_days` (same origin as the readings) the level is meant to move
    by `rate_per_visit` (base unit, signed) at each of `visits` trims, then stay.
    """

    from_days: float
    rate_per_visit: float
    visits: int


@dataclass(frozen=True)
class Question:
    """What the series is judged under, besides its readings.

    `prior`: the quantity's priors. `plans`: agreed changes. `settled_days`: from here on a new
    baseline counts (the team answered the last finding); `None` for the whole series.
    `hand_pairs`: what hands of this series have read beside each other on other feet.
    """

    prior: DriftPrior
    plans: tuple[PlannedChange, ...] = ()
    settled_days: float | None = None
    hand_pairs: tuple[HandPair, ...] = ()


@dataclass(frozen=True)
class SeriesArrays:
    """Sorted readings (rows) with the model's design.

    `value` minus `mean` is the residual r; `offset_mean` is the part of the mean that pairs on
    other feet have taught of the hand. `growth_time` is x, `trim` is c counted from the
    series' origin, `sd` is s. `design` has one column per level, growth rate, person-and-method
    offset and plan; `design_sd` their prior SDs; `column_kind` and `column_index` name them.
    `look` numbers the visits and between-visit days, `order` the reading's place as handed in.
    """

    value: Floats
    sd: Floats
    mean: Floats
    trim: Ints
    growth_time: Floats
    at_days: Floats
    look: Ints
    design: Floats
    design_sd: Floats
    column_kind: tuple[str, ...]
    column_index: tuple[int, ...]
    offset_mean: Floats
    planned: Floats
    growth_mean: Floats
    source: Ints
    level_id: Ints
    state_id: Ints
    first_onset: int
    order: Ints

    @property
    def residual(self) -> Floats:
        """What is left after level, growth and plan as believed beforehand (r)."""
        return self.value - self.mean

    def choose(self, rows: Ints) -> "SeriesArrays":
        """Some readings, all columns of the design kept."""
        return replace(self, **{name: getattr(self, name)[rows] for name in _ROW_FIELDS})


_ROW_FIELDS = (
    "value",
    "sd",
    "mean",
    "trim",
    "growth_time",
    "at_days",
    "look",
    "design",
    "offset_mean",
    "planned",
    "growth_mean",
    "source",
    "level_id",
    "state_id",
    "order",
)


def sorted_readings(readings: Sequence[SeriesReading]) -> list[tuple[int, SeriesReading]]:
    """Readings by time with their place as handed in; exact copies of a reading once only."""
    first_place: dict[SeriesReading, int] = {}
    for place, reading in enumerate(readings):
        first_place.setdefault(reading, place)
    return sorted(((place, reading) for reading, place in first_place.items()), key=_sort_key)


def _sort_key(item: tuple[int, SeriesReading]) -> tuple[object, ...]:
    reading = item[1]
    return (
        reading.at_days,
        reading.trim_index,
        _STATE_ORDER[reading.trim_state],
        reading.method.value,
        reading.by,
        reading.sd,
        reading.value,
        reading.key,
    )


def source_label(reading: SeriesReading) -> str:
    """Who measured and how: each person with one way of measuring has an offset of their own."""
    return f"{reading.method.value}\0{reading.by}"


def same_foot_pairs(rows: Sequence[SeriesReading]) -> Counter[str]:
    """By hand, at how many moments of a day another hand measured the same foot too."""
    moments: dict[tuple[object, ...], set[str]] = defaultdict(set)
    for row in rows:
        moment = (round(row.at_days), row.trim_index, row.trim_state)
        moments[moment].add(source_label(row))
    return Counter(hand for hands in moments.values() if len(hands) > 1 for hand in hands)


def number_looks(at_days: Sequence[float]) -> Ints:
    """Numbers sorted moments so that those of one visit share a number, counted from 0."""
    numbers: list[int] = []
    start = -np.inf
    number = -1
    for moment in at_days:
        if moment - start >= SAME_VISIT_DAYS:
            start, number = moment, number + 1
        numbers.append(number)
    return np.array(numbers, dtype=np.int64)


def build_arrays(
    readings: Sequence[SeriesReading],
    question: Question,
    looks: Ints | None = None,
    beside: Sequence[SeriesReading] = (),
) -> SeriesArrays:
    """The arrays of one quantity on one foot; `looks` shared by a pair, `beside` the readings of
    its other quantity: the two stand on the same trims."""
    placed = sorted_readings(readings)
    rows = [reading for _, reading in placed]
    at_days = np.array([row.at_days for row in rows], dtype=np.float64)
    every = [*rows, *beside]
    origin = min((row.trim_index for row in every), default=0)
    trim = np.array([row.trim_index - origin for row in rows], dtype=np.int64)
    growth_time = np.array([row.days_since_trim / GROWTH_PERIOD_DAYS for row in rows])
    level_id = _level_numbers(rows, question.settled_days)
    states = [row.shoeing for row in rows]
    state_id = _first_seen([state.value for state in states])
    labels = [source_label(row) for row in rows]
    source = _first_seen(labels)
    offsets = offset_prior(
        list(dict.fromkeys(labels)),
        question.prior.offset_sd,
        question.hand_pairs,
        same_foot_pairs(rows),
    )
    offset_mean = offsets.mean[source]
    planned = _planned_change(trim, every, origin, question.plans)
    growth_mean = np.array([question.prior.growth[state].mean_per_56_days for state in states])
    growth_sd = np.array([question.prior.growth[state].sd_per_56_days for state in states])
    columns = _Columns(len(rows))
    columns.add_groups(
        "level", level_id, np.ones(len(rows)), np.full(len(rows), question.prior.level_sd)
    )
    columns.add_groups("growth", state_id, growth_time, growth_sd)
    for hand, sd in enumerate(np.diag(offsets.root)):
        columns.add("offset", hand, offsets.root[source, hand] / sd, float(sd))
    if question.plans:
        columns.add("plan", 0, planned, PLAN_FULFILMENT_SD)
    return SeriesArrays(
        value=np.array([row.value for row in rows], dtype=np.float64),
        sd=np.array([row.sd for row in rows], dtype=np.float64),
        mean=question.prior.level_mean + growth_mean * growth_time + planned + offset_mean,
        trim=trim,
        growth_time=growth_time,
        at_days=at_days,
        look=number_looks(list(at_days)) if looks is None else looks,
        design=columns.matrix(),
        design_sd=np.array(columns.sds, dtype=np.float64),
        column_kind=tuple(columns.kinds),
        column_index=tuple(columns.indexes),
        offset_mean=offset_mean,
        planned=planned,
        growth_mean=growth_mean,
        source=source,
        level_id=level_id,
        state_id=state_id,
        first_onset=_first_onset(at_days, trim, question.settled_days),
        order=np.array([place for place, _ in placed], dtype=np.int64),
    )


def _first_seen(labels: Sequence[str]) -> Ints:
    """Numbers labels by first appearance, so that later readings never renumber earlier ones."""
    numbers: dict[str, int] = {}
    return np.array([numbers.setdefault(label, len(numbers)) for label in labels], dtype=np.int64)


def _level_numbers(rows: Sequence[SeriesReading], settled_days: float | None) -> Ints:
    """A new level whenever the shoeing state changes, and where the team settled the past."""
    numbers: list[int] = []
    number = -1
    before: tuple[object, bool] | None = None
    for row in rows:
        now = (row.shoeing, settled_days is not None and row.at_days >= settled_days)
        if now != before:
            number, before = number + 1, now
        numbers.append(number)
    return np.array(numbers, dtype=np.int64)


def _first_onset(at_days: Floats, trim: Ints, settled_days: float | None) -> int:
    """The earliest trim a drift may start from: the first, or the last one before settling."""
    if settled_days is None or not len(trim):
        return 0
    earlier = trim[at_days < settled_days]
    return int(earlier.max()) if len(earlier) else 0


def _planned_change(
    trim: Ints, every: Sequence[SeriesReading], origin: int, plans: Sequence[PlannedChange]
) -> Floats:
    """How far the plans have meant to move the level by each reading's trim.

    `every`: all readings of the foot, so that a quantity first measured while a plan runs is as far
    as the others.
    """
    trimmed = [(row.trim_index - origin, row.at_days - row.days_since_trim) for row in every]
    total = np.zeros(len(trim))
    for plan in plans:
        begins = plan.from_days - SAME_VISIT_DAYS
        start = max((index for index, day in trimmed if day < begins), default=-1)
        total += plan.rate_per_visit * np.clip(trim - start, 0, plan.visits)
    return total


class _Columns:
    """Collects design columns in a fixed order with their prior SDs and names."""

    def __init__(self, rows: int) -> None:
        self.rows = rows
        self.columns: list[Floats] = []
        self.sds: list[float] = []
        self.kinds: list[str] = []
        self.indexes: list[int] = []

    def add(self, kind: str, index: int, column: Floats, sd: float) -> None:
        self.columns.append(column)
        self.sds.append(sd)
        self.kinds.append(kind)
        self.indexes.append(index)

    def add_groups(self, kind: str, group: Ints, column: Floats, sds: Floats) -> None:
        for index in range(int(group.max()) + 1 if len(group) else 0):
            chosen = group == index
            self.add(kind, index, np.where(chosen, column, 0.0), float(sds[chosen][0]))

    def matrix(self) -> Floats:
        return np.column_stack(self.columns) if self.columns else np.zeros((self.rows, 0))
