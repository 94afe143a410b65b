"""A foot seen from the side: which of its numbers belong together, now and then, and the aim."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain

from measurements.hoof.outline import SideNumbers
from measurements.hoof.quantities import Moment, Shoeing, TrimState
from measurements.models import Target
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.queries.repeats import reading_sd
from measurements.verdicts.bands import band_edges

TOE, LENGTH, HEEL, HEEL_LENGTH = "toe_angle", "toe_length", "heel_angle", "heel_length_lateral"
OTHER_HEEL, PASTERN = "heel_length_medial", "pastern_angle"
# Numbers further apart than this are not one foot at one moment. House default: half a cycle.
TOGETHER = timedelta(days=28)
# "Then" is looked for about a year back, and never nearer than this. House defaults.
A_YEAR, LEAST_AGO = timedelta(days=365), timedelta(days=120)


@dataclass(frozen=True)
class SideSeen:
    """One foot at one moment of its cycle."""

    numbers: SideNumbers
    on: date
    trim_state: TrimState
    sds: Mapping[str, float]  # the errors of its values by quantity, base unit


@dataclass(frozen=True)
class SideStory:
    """What is laid over each other: the foot now, as it was, and the band of its toe angle."""

    foot: str
    now: SideSeen
    then: SideSeen | None
    aim: tuple[float, float] | None


def side_story(numbers: Numbers, foot: str) -> SideStory | None:
    """None where toe angle and length were never measured together."""
    newest_first = numbers.readings.get((foot, TOE), [])[::-1]
    seen = _each_seen(numbers, newest_first)
    newest = next(seen, None)
    if newest is None:
        return None
    now = next((s for s in chain([newest], seen) if s.trim_state is TrimState.AFTER), newest)
    now = newest if newest.on - now.on > A_YEAR else now
    then = _then(numbers, newest_first, now)
    return SideStory(foot, now, then, _aim(numbers.targets.get((foot, TOE), [])))


def _each_seen(numbers: Numbers, readings: Iterable[ReadingValue]) -> Iterator[SideSeen]:
    """Looked up one after the other: most stories end at the first."""
    return (found for reading in readings if (found := _seen(numbers, reading)))


def _seen(numbers: Numbers, reading: ReadingValue) -> SideSeen | None:
    sds = {TOE: reading_sd(reading, numbers.errors)}

    def near(quantity: str) -> float | None:
        row = _near(numbers, reading, quantity)
        if row is None:
            return None
        sds[quantity] = reading_sd(row, numbers.errors)
        return float(row.value)

    length_mm = near(LENGTH)
    if length_mm is None:
        return None
    heels = [length for name in (HEEL_LENGTH, OTHER_HEEL) if (length := near(name)) is not None]
    state = TrimState(reading.trim_state)
    shoeing = reading.shoeing or numbers.shoeing_on(reading.foot, reading.taken_on, state)
    known = SideNumbers(
        toe_angle_deg=float(reading.value),
        toe_length_mm=length_mm,
        heel_angle_deg=near(HEEL),
        heel_length_mm=sum(heels) / len(heels) if heels else None,
        pastern_angle_deg=near(PASTERN),
        is_shod=bool(numbers.shoeing.get(reading.foot)) and shoeing != Shoeing.BAREFOOT,
    )
    return SideSeen(known, reading.taken_on, state, sds)


def _near(numbers: Numbers, reading: ReadingValue, quantity: str) -> ReadingValue | None:
    """The reading of the same moment of a cycle that was taken nearest, if near enough."""
    every = numbers.readings.get((reading.foot, quantity), [])  # by their days
    first = bisect_left(every, reading.taken_on - TOGETHER, key=_day)
    last = bisect_right(every, reading.taken_on + TOGETHER, lo=first, key=_day)
    rows = [row for row in every[first:last] if row.trim_state == reading.trim_state]
    return min(rows, key=lambda row: abs(row.taken_on - reading.taken_on), default=None)


def _day(row: ReadingValue) -> date:
    return row.taken_on


def _then(numbers: Numbers, newest_first: Iterable[ReadingValue], now: SideSeen) -> SideSeen | None:
    """The same moment of a cycle about a year before, or as near to that as there is."""
    earlier = [
        reading
        for reading in newest_first
        if reading.trim_state == now.trim_state and now.on - reading.taken_on >= LEAST_AGO
    ]
    earlier.sort(key=lambda reading: abs(now.on - reading.taken_on - A_YEAR))
    return next(_each_seen(numbers, earlier), None)


def _aim(targets: Iterable[Target]) -> tuple[float, float] | None:
    """The band just after the trim, where it has both edges."""
    for target in targets:
        low, high = band_edges(target)
        if target.moment == Moment.AFTER_TRIM and low is not None and high is not None:
            return low, high
    return None
