"""Which quantities a form of readings offers first, and what the last values beside them were."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import cast

from horses.domain.wording import day_words
from horses.models import Role
from measurements.hoof.feet import Foot, SideStyle, label
from measurements.hoof.quantities import QUANTITIES, Quantity
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.wording import entered_words, shown_unit

# Offered on a horse that nothing was measured on yet. House default.
TO_BEGIN_WITH = ("toe_angle", "toe_length")
MOST_FIRST = 6  # house default: more would hide the feet behind the fields
RECENT = timedelta(days=400)  # house default: what was measured within about a year goes on

UNIT_SYMBOLS = {"deg": "°"}


@dataclass(frozen=True)
class Offered:
    """The quantities in the order of the form: those in use, and the rest behind "more"."""

    first: tuple[str, ...]
    more: tuple[str, ...]

    @property
    def every(self) -> tuple[str, ...]:
        return self.first + self.more


def needs_radiograph(quantity: Quantity) -> bool:
    return quantity.is_filmed


def quantities_offered(numbers: Numbers, role: str, today: date) -> Offered:
    """Those with a target first, then those measured lately, the most measured before the others.

    What only a radiograph shows comes first for a vet only.
    """
    counts = dict.fromkeys(QUANTITIES, 0)
    for (_, quantity), rows in numbers.readings.items():
        counts[quantity] += sum(row.taken_on >= today - RECENT for row in rows)
    aimed = {quantity for _, quantity in numbers.targets}
    order = list(QUANTITIES)
    used = [q for q in order if (q in aimed or counts[q]) and _fits(q, role)]
    used.sort(key=lambda q: (q not in aimed, -counts[q], order.index(q)))
    used += [q for q in TO_BEGIN_WITH if q not in used] if len(used) < len(TO_BEGIN_WITH) else []
    first = sorted(used[:MOST_FIRST], key=order.index)
    return Offered(tuple(first), tuple(q for q in order if q not in first))


def _fits(quantity: str, role: str) -> bool:
    return role == Role.VET or not needs_radiograph(QUANTITIES[quantity])


def last_words(reading: ReadingValue | None, length_unit: str) -> str:
    """ "48.6°, 12 May 2026": an earlier value beside a field."""
    if reading is None:
        return ""
    return f"{entered_words(reading, length_unit)}, {day_words(reading.taken_on)}"


def unit_symbol(quantity: str, length_unit: str) -> str:
    unit = shown_unit(quantity, length_unit)
    return UNIT_SYMBOLS.get(unit, unit)


def foot_words(foot: str, side_words: str) -> str:
    return label(Foot(foot), cast(SideStyle, side_words))
