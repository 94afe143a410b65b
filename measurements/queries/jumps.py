"""The gross jumps that stand in a horse's readings."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from measurements.hoof.jump import GROSS, WINDOW_DAYS, Jump, JumpPoint, jump_now
from measurements.hoof.quantities import Shoeing, TrimState
from measurements.queries.numbers import ORIGIN, Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.queries.repeats import reading_sd

JUMP_RULE = "reading.jump"


@dataclass(frozen=True)
class JumpSeen:
    """A jump that stands: the reading before it, the one it began with, those that say the same."""

    earlier: ReadingValue
    start: ReadingValue
    again: tuple[ReadingValue, ...]
    jump: Jump


def jumps_standing(numbers: Numbers, today: date) -> list[JumpSeen]:
    """The jumps of all series whose last readings nobody has brought back to where they were."""
    return list(numbers.worked_out(("jumps", today), lambda: _standing(numbers, today)))


def _standing(numbers: Numbers, today: date) -> list[JumpSeen]:
    found = []
    for (foot, quantity), rows in sorted(numbers.readings.items()):
        if quantity not in GROSS:
            continue
        jump = jump_now(quantity, [reading_point(numbers, row) for row in rows])
        if jump is None or _is_over(numbers, foot, rows[jump.since], today):
            continue
        again = tuple(rows[place] for place in jump.again)
        found.append(JumpSeen(rows[jump.earlier], rows[jump.since], again, jump))
    return found


def _is_over(numbers: Numbers, foot: str, start: ReadingValue, today: date) -> bool:
    """Two trims have been made since, or months have passed: nobody can measure that foot again."""
    later = [day for day in numbers.trim_days(foot) if day > start.taken_on]
    return len(later) > 1 or today - start.taken_on > timedelta(days=WINDOW_DAYS)


def reading_point(numbers: Numbers, reading: ReadingValue) -> JumpPoint:
    shoeing = reading.shoeing or numbers.shoeing_on(
        reading.foot, reading.taken_on, reading.trim_state
    )
    return placed_point(
        numbers.trim_days(reading.foot),
        reading.taken_on,
        reading.trim_state,
        value=float(reading.value),
        sd=reading_sd(reading, numbers.errors),
        shoeing=Shoeing(shoeing),
    )


def placed_point(
    trims: Sequence[date], day: date, state: str, *, value: float, sd: float, shoeing: Shoeing
) -> JumpPoint:
    """A value at its place in the series. `trims`: those known, rising. Before a trim a reading counts from the trim before that day's."""
    count = (bisect_left if state == TrimState.BEFORE else bisect_right)(trims, day)
    since = float((day - trims[count - 1]).days) if count else None
    return JumpPoint(value, sd, float((day - ORIGIN).days), count, since, shoeing)
