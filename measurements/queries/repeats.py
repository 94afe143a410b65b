"""How well each person measures this horse, from their own repeats, and how two people differ.

A repeat: one foot, quantity and moment measured twice on one day by one person in one way. Only
what people wrote down here themselves counts: an old record read in may hold a value twice.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from measurements.hoof.drift.priors import ASK_AGAIN_FROM_SD
from measurements.hoof.quantities import QUANTITIES, Method, error_sd
from measurements.hoof.repeats import (
    MeasuringError,
    PersonBias,
    bias_between,
    own_error,
    repeat_groups,
)
from measurements.queries.reading_values import ReadingValue

REPEATS_NEEDED = 3  # house default: two differences say next to nothing of a spread

Series = Mapping[tuple[str, str], Sequence[ReadingValue]]


@dataclass(frozen=True)
class Source:
    """One person with one way of measuring one quantity."""

    by: str
    method: str
    quantity: str


@dataclass(frozen=True)
class Difference:
    """Two people's readings of the same foot on the same day: `first` reads `bias` higher."""

    first: Source
    first_name: str
    second: Source
    second_name: str
    bias: PersonBias


def person_key(reading: ReadingValue) -> str:
    """Who measured: an account, or the name in an old record."""
    return reading.by or reading.taken_by_name


def source_of(reading: ReadingValue) -> Source:
    return Source(person_key(reading), reading.method, reading.quantity)


def usual_sd(source: Source) -> float:
    return error_sd(QUANTITIES[source.quantity], Method(source.method))


def own_errors(readings: Series) -> dict[Source, MeasuringError]:
    """The error of everybody who has measured something twice."""
    rows: dict[Source, list[tuple[object, float]]] = defaultdict(list)
    for reading in own_rows(readings):
        rows[source_of(reading)].append((_cell(reading), float(reading.value)))
    found = {source: _no_slips(repeat_groups(values), source) for source, values in rows.items()}
    return {source: own_error(g, usual_sd(source)) for source, g in found.items() if g}


def sd_of(source: Source, errors: Mapping[Source, MeasuringError]) -> float:
    """The error of one person's readings: their own once there are enough repeats, else the usual."""
    error = errors.get(source)
    if error is not None and error.repeats >= REPEATS_NEEDED:
        return error.sd
    return usual_sd(source)


def reading_sd(reading: ReadingValue, errors: Mapping[Source, MeasuringError]) -> float:
    """The error of a reading: its own where one was reckoned with it, else its measurer's."""
    return sd_of(source_of(reading), errors) if reading.sd is None else float(reading.sd)


def wants_repeats(readings: Series, by: str, errors: Mapping[Source, MeasuringError]) -> bool:
    """Whether somebody measures angles here with fewer repeats than their own error needs."""
    own = [
        row
        for row in own_rows(readings)
        if person_key(row) == by and QUANTITIES[row.quantity].is_angle
    ]
    if not own:
        return False
    newest = source_of(max(own, key=lambda row: (row.taken_on, row.pk)))
    return newest not in errors or errors[newest].repeats < REPEATS_NEEDED


def differences(
    readings: Series, quantity: str, errors: Mapping[Source, MeasuringError]
) -> list[Difference]:
    """How any two people differ who have measured the same foot at the same moment of a day."""
    cells: dict[object, dict[Source, list[float]]] = defaultdict(lambda: defaultdict(list))
    names: dict[Source, str] = {}
    for reading in own_rows(readings):
        if reading.quantity == quantity:
            names[source_of(reading)] = reading.taken_by_name
            cells[_cell(reading)][source_of(reading)].append(float(reading.value))
    found = []
    order = sorted(names, key=lambda s: (names[s], s.by, s.method))
    for first, second in combinations(order, 2):
        if first.by == second.by:
            continue
        pairs = [
            (_mean(by_source[first]), _mean(by_source[second]))
            for by_source in cells.values()
            if first in by_source and second in by_source
        ]
        bias = bias_between(pairs, sd_of(first, errors), sd_of(second, errors))
        if bias is not None:
            found.append(Difference(first, names[first], second, names[second], bias))
    return found


def own_rows(readings: Series) -> Iterable[ReadingValue]:
    """What people wrote down here themselves."""
    return (row for rows in readings.values() for row in rows if row.source == "form")


def _cell(reading: ReadingValue) -> tuple[object, ...]:
    return (reading.foot, reading.taken_on, reading.trim_state)


def _no_slips(groups: list[list[float]], source: Source) -> list[list[float]]:
    """Without the pairs that lie so far apart that one of them is a slip, such as the wrong foot.

    A slip is dealt with where it stands; it says nothing of how well somebody measures.
    """
    most = ASK_AGAIN_FROM_SD * math.sqrt(2.0) * usual_sd(source)
    return [group for group in groups if max(group) - min(group) <= most]


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
