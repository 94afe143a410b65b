"""The films that count of a foot: the newest of each quantity, with its age.

What only a radiograph shows (sole depth, palmar angle) holds until there is a newer film. Of two
taken on one day the one that is further from what is wanted counts: somebody may be about to cut.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from caseboard.lib.words import days_ago
from measurements.hoof.films import (
    SAME_FILMS_DAYS,
    STEEP_PALMAR_ANGLE_DEG,
    steep_palmar_angle,
    uneven_palmar_angles,
    uneven_soles,
)
from measurements.hoof.quantities import TrimState
from measurements.hoof.shape import NEGATIVE_PALMAR_ANGLE_DEG, negative_palmar_angle, thin_sole
from measurements.hoof.shape_finding import Measured, ShapeFinding
from measurements.queries.reading_values import ReadingValue

SOLE, PALMAR = "sole_depth", "palmar_angle"
FILMED = (SOLE, PALMAR)
OLD = timedelta(
    days=21
)  # from here on a film's age is said in a sentence of its own; house default

Readings = Mapping[tuple[str, str], Sequence[ReadingValue]]
Rule = Callable[..., ShapeFinding | None]
OF_ONE_FOOT: tuple[tuple[Rule, str], ...] = (
    (negative_palmar_angle, PALMAR),
    (steep_palmar_angle, PALMAR),
    (thin_sole, SOLE),
)
OF_A_PAIR: tuple[tuple[Rule, str], ...] = ((uneven_palmar_angles, PALMAR), (uneven_soles, SOLE))
# Readings whose moments differ like this lie on two sides of a trim.
_BEFORE_AND_AFTER = {TrimState.BEFORE.value, TrimState.AFTER.value}


def film_of(readings: Readings, foot: str, quantity: str) -> ReadingValue | None:
    """The film that counts; None for a foot that was never filmed so. `readings`: oldest first."""
    rows = readings.get((foot, quantity))
    if not rows:
        return None
    newest = max(row.taken_on for row in rows)
    of_that_day = [row for row in rows if row.taken_on == newest]
    return max(reversed(of_that_day), key=_badness)


def _badness(reading: ReadingValue) -> float:
    value = float(reading.value)
    if reading.quantity == SOLE:
        return -value
    return max(NEGATIVE_PALMAR_ANGLE_DEG - value, value - STEEP_PALMAR_ANGLE_DEG)


def film_findings(
    readings: Readings, foot: str, measured: Callable[[ReadingValue], Measured]
) -> Iterator[tuple[ShapeFinding, ReadingValue]]:
    """What the films of one foot show that must not wait."""
    for rule, quantity in OF_ONE_FOOT:
        reading = film_of(readings, foot, quantity)
        if reading is not None and (found := rule(measured(reading))):
            yield found, reading


def pair_findings(
    readings: Readings, left: str, right: str, measured: Callable[[ReadingValue], Measured]
) -> Iterator[tuple[ShapeFinding, tuple[ReadingValue, ReadingValue]]]:
    """Where the films of a pair differ, of those taken together: no trim of one between them."""
    for rule, quantity in OF_A_PAIR:
        rows = [readings.get((foot, quantity), [])[-1:] for foot in (left, right)]
        if not all(rows):
            continue
        one, other = rows[0][0], rows[1][0]
        near = abs((one.taken_on - other.taken_on).days) <= SAME_FILMS_DAYS
        if near and {one.trim_state, other.trim_state} != _BEFORE_AND_AFTER:
            found = rule(measured(one), measured(other))
            if found:
                yield found, (one, other)


def age_words(on: date, today: date) -> str:
    """ "8 weeks ago": how old a film is."""
    return days_ago(on, today)


def old_film_words(on: date, today: date) -> str:
    """A sentence on a film that is not of these days; "" for a fresh one."""
    return f" That is {age_words(on, today)}; no film is newer." if today - on >= OLD else ""
