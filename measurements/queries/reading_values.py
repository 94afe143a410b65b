"""Readings as plain values, for whatever reads many: a model object a reading costs ten times as much."""

from datetime import date
from decimal import Decimal
from typing import NamedTuple

from django.db.models import QuerySet

from measurements.hoof.quantities import Method, TrimState
from measurements.models import Reading

# On one day: what was found, what was seen between visits, what was left.
_MOMENTS = {TrimState.BEFORE.value: 0, TrimState.BETWEEN.value: 1, TrimState.AFTER.value: 2}


class ReadingValue(NamedTuple):
    """What the mathematics, the charts and the sentences need of one reading."""

    pk: int
    public_id: str
    horse_id: int
    foot: str
    quantity: str
    value: Decimal  # base unit of the quantity
    entered_value: Decimal
    entered_unit: str
    method: str
    trim_state: str
    shoeing: str
    taken_on: date
    by: str | None  # the account that measured; none for an old record
    taken_by_name: str
    source: str
    sd: Decimal | None  # its own error in the base unit; none: its method's
    points_id: int | None = None  # the points on a picture it was reckoned from

    @property
    def method_label(self) -> str:
        return Method(self.method).label


COLUMNS = [name if name != "by" else "taken_by__public_id" for name in ReadingValue._fields]


def reading_values(rows: QuerySet[Reading]) -> list[ReadingValue]:
    """One query of values, in the order of the rows."""
    return list(map(ReadingValue._make, rows.values_list(*COLUMNS)))


def place_in_series(row: ReadingValue | Reading) -> tuple[date, int, int]:
    """Where a reading comes: by its day, on one day by the trim, then as it was written down."""
    return row.taken_on, _MOMENTS[row.trim_state], row.pk
