"""The values on the board and on the sheet."""

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal

import pytest

from measurements.panels.feet import value_line
from measurements.queries.numbers import numbers_of
from measurements.services.readings import readings_record
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("quantity", "base", "entered", "unit", "reader", "shown"),
    [
        ("toe_length", "84.5", "84.5", "mm", "mm", "84.5 mm"),
        ("toe_angle", "50.25", "50.25", "deg", "mm", "50.25°"),
        ("toe_length", "85.725", "3.375", "in", "in", "3.375 in"),
        ("toe_length", "85.725", "3.375", "in", "mm", "86 mm"),
        ("toe_length", "84.5", "84.5", "mm", "cm", "8.4 cm"),
    ],
)
def test_a_value_shows_untouched_in_the_unit_it_was_entered_in(
    cast: Cast, now: datetime, quantity: str, base: str, entered: str, unit: str, reader: str,
    shown: str,
) -> None:  # fmt: skip
    taken = replace(
        build.taken("LF", quantity, base), entered_value=Decimal(entered), entered_unit=unit
    )
    access, on = cast.access(cast.farrier), date(2026, 10, 1)
    readings_record(access=access, taken_on=on, readings=[taken], now=now)
    numbers = numbers_of(cast.horse, today=now.date())
    assert value_line(numbers, "LF", quantity, length_unit=reader).value == shown
