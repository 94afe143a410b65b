"""A gross jump is asked about while it is typed, beside its field."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import cast

from caseboard.lib.words import days_ago
from measurements.hoof.jump import GROSS, JumpPoint, jump_now
from measurements.hoof.quantities import QUANTITIES, Method, Shoeing, TrimState, error_sd
from measurements.hoof.units import Unit, shown_in
from measurements.queries.jumps import placed_point, reading_point
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.services.readings import Taken
from measurements.wording import entered_words, shown_unit


def jump_question(
    numbers: Numbers,
    taken: Taken,
    day: date,
    typed: Iterable[Taken],
    *,
    length_unit: str,
    today: date,
) -> str:
    """ "52° 18 days ago; 41° now. Measured again and still 41°?", or "" for a value that fits.

    `typed`: the values of the same form before it. A value that repeats a jump that stands already
    is the second look that was asked for, and is not asked about again.
    """
    if taken.quantity not in GROSS:
        return ""
    series = numbers.readings.get((taken.foot, taken.quantity), [])
    rows: list[ReadingValue | Taken] = [row for row in series if row.taken_on <= day]
    rows += [t for t in typed if (t.foot, t.quantity) == (taken.foot, taken.quantity)]
    points = [
        reading_point(numbers, row) if isinstance(row, ReadingValue) else _point(numbers, row, day)
        for row in [*rows, taken]
    ]
    jump = jump_now(taken.quantity, points)
    if jump is None or jump.since != len(rows):
        return ""
    earlier, now = rows[jump.earlier], _value(taken, length_unit)
    on = earlier.taken_on if isinstance(earlier, ReadingValue) else day
    was = (
        entered_words(earlier, length_unit)
        if isinstance(earlier, ReadingValue)
        else _value(earlier, length_unit)
    )
    then = days_ago(on, day) if day == today else f"on {on:%-d %b %Y}"
    then = "before the trim" if on == day else then
    return f"{was} {then}; {now} now. Measured again and still {now}?"


def _point(numbers: Numbers, taken: Taken, day: date) -> JumpPoint:
    trims = set(numbers.trim_days(taken.foot))
    if taken.trim_state != TrimState.BETWEEN:
        trims.add(day)  # saving it dates a trim
    shoeing = taken.shoeing or numbers.shoeing_on(taken.foot, day, taken.trim_state)
    return placed_point(
        sorted(trims),
        day,
        taken.trim_state,
        value=float(taken.value),
        sd=error_sd(QUANTITIES[taken.quantity], Method(taken.method))
        if taken.sd is None
        else float(taken.sd),
        shoeing=Shoeing(shoeing),
    )


def _value(taken: Taken, length_unit: str) -> str:
    return shown_in(
        Decimal(taken.entered_value),
        cast(Unit, taken.entered_unit),
        cast(Unit, shown_unit(taken.quantity, length_unit)),
        QUANTITIES[taken.quantity].decimals,
    )
