"""The values on the board and on the sheet."""

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from caseboard.case_reading import CaseReading
from caseboard.sheets.plan_gather import sheet_for
from horses.rules.engine import evaluate
from measurements.panels.feet import value_line
from measurements.queries.numbers import numbers_of
from measurements.services.readings import readings_record
from tests import build
from tests.caseboard.walk import words_of
from tests.cast import Cast
from tests.horses.doors import Door, text_of

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
    cast: Cast,
    now: datetime,
    quantity: str,
    base: str,
    entered: str,
    unit: str,
    reader: str,
    shown: str,
) -> None:
    taken = replace(
        build.taken("LF", quantity, base), entered_value=Decimal(entered), entered_unit=unit
    )
    access, on = cast.access(cast.farrier), date(2026, 10, 1)
    readings_record(access=access, taken_on=on, readings=[taken], now=now)
    numbers = numbers_of(cast.horse, today=now.date())
    assert value_line(numbers, "LF", quantity, length_unit=reader).value == shown


def _out_of_its_band(cast: Cast, now: datetime) -> None:
    at = now - timedelta(days=5)
    build.target(
        cast.access(cast.vet), at, quantity="toe_length", low=Decimal(70), high=Decimal(78)
    )
    readings_record(
        access=cast.access(cast.farrier),
        taken_on=at.date(),
        now=at,
        readings=[build.taken("LF", "toe_length", "80", trim_state="after")],
    )


@pytest.mark.parametrize(
    ("unit", "words"),
    [
        ("cm", "0.2 cm over the vet's band of 7.0 to 7.8 cm"),
        ("mm", "2 mm over the vet's band of 70 to 78 mm"),
        ("in", "0.08 in over the vet's band of 2.76 to 3.07 in"),
    ],
)
def test_a_band_of_a_length_is_told_in_the_readers_unit(
    cast: Cast, now: datetime, unit: str, words: str
) -> None:
    _out_of_its_band(cast, now)
    numbers = numbers_of(cast.horse, today=now.date())
    [band] = value_line(numbers, "LF", "toe_length", length_unit=unit).bands
    assert band.words.startswith(words)


def test_the_sheet_of_a_person_with_centimetres_says_no_length_in_millimetres(
    cast: Cast, now: datetime
) -> None:
    _out_of_its_band(cast, now)
    for foot in sheet_for(CaseReading(cast.access(cast.owner), now)).feet:
        for value in foot.values:
            assert "mm" not in " ".join([value.value, value.trend, *(b.words for b in value.bands)])


def test_an_alert_and_a_band_on_the_plan_are_told_in_the_readers_unit(
    cast: Cast, now: datetime
) -> None:
    _out_of_its_band(cast, now)
    evaluate(cast.horse, now=now)
    page = words_of(text_of(Door(cast.owner, cast.case).get("board")))
    assert "toe length was 8.0 cm" in page
    assert "over the vet's band of 7.0 to 7.8 cm" in page
    assert [page[max(0, f.start() - 60) : f.end()] for f in re.finditer(r"\d mm\b", page)] == []
