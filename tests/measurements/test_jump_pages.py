"""A gross jump is asked about while it is typed, once, in both forms."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.http import HttpResponse

from measurements.models import Reading
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")
FEET = ("LF", "RF", "LH", "RH")
ASKED = "52° 18 days ago; 41° now. Measured again and still 41°?"


@pytest.fixture
def measured(cast: Cast, now: datetime) -> Cast:
    on = now.date() - timedelta(days=18)
    build.visit(cast.access(cast.farrier), now, on)
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, on)
    return cast


def visit(cast: Cast, now: datetime, **fields: Any) -> HttpResponse:
    sent = {f"{foot}-trimmed": "on" for foot in FEET} | {f"{foot}-shoe": "reset" for foot in FEET}
    sent |= {"kept_on": str(now.date()), "angle_method": "gauge", "length_method": "tape"}
    return Door(cast.farrier, cast.case).post("visit_new", **sent | fields)


def reading(cast: Cast, now: datetime, **fields: Any) -> HttpResponse:
    sent = {
        "taken_on": str(now.date()),
        "trim_state": "between",
        "angle_method": "gauge",
        "length_method": "tape",
    }
    return Door(cast.farrier, cast.case).post("readings_new", **sent | fields)


def saved() -> list[float]:
    rows = Reading.objects.filter(quantity="toe_angle").order_by("pk")
    return [float(row.value) for row in rows]


def test_the_visit_form_asks_and_keeps_nothing(measured: Cast, now: datetime) -> None:
    answer = visit(measured, now, **{"LF-toe_angle-before": "41"})
    page = text_of(answer)
    assert answer.status_code == 422
    assert ASKED in page
    assert 'name="LF-toe_angle-before-sure"' in page
    assert 'value="41"' in page
    assert saved() == [52]


def test_the_visit_form_takes_what_was_measured_again(measured: Cast, now: datetime) -> None:
    fields = {"LF-toe_angle-before": "41", "LF-toe_angle-before-sure": "on"}
    assert visit(measured, now, **fields).status_code == 302
    assert saved() == [52, 41]


def test_the_form_of_readings_asks_too(measured: Cast, now: datetime) -> None:
    answer = reading(measured, now, **{"LF-toe_angle": "41"})
    assert answer.status_code == 422
    assert ASKED in text_of(answer)
    kept = reading(measured, now, **{"LF-toe_angle": "41", "LF-toe_angle-sure": "on"})
    assert kept.status_code == 302
    assert saved() == [52, 41]


def test_the_second_look_is_not_asked_about_again(measured: Cast, now: datetime) -> None:
    reading(measured, now, **{"LF-toe_angle": "41", "LF-toe_angle-sure": "on"})
    assert reading(measured, now, **{"LF-toe_angle": "41.5"}).status_code == 302


def test_a_jump_inside_one_visit_is_asked_about(measured: Cast, now: datetime) -> None:
    fields = {"LF-toe_angle-before": "51", "LF-toe_angle-after": "41"}
    answer = visit(measured, now, **fields)
    assert answer.status_code == 422
    assert "51° before the trim; 41° now. Measured again and still 41°?" in text_of(answer)


def test_an_everyday_value_is_not_asked_about(measured: Cast, now: datetime) -> None:
    fields = {"LF-toe_angle-before": "50.5", "LF-toe_angle-after": "53"}
    assert visit(measured, now, **fields).status_code == 302


def test_a_visit_written_up_late_is_compared_with_what_was_before_it(
    measured: Cast, now: datetime
) -> None:
    day = now.date() - timedelta(days=4)
    answer = visit(measured, now, kept_on=str(day), **{"LF-toe_angle-before": "41"})
    assert "52° on 15 Oct 2026; 41° now." in text_of(answer)


def correct(cast: Cast, row: Reading, **fields: Any) -> HttpResponse:
    sent = {"what": "value", "method": row.method, "trim_state": row.trim_state, "reason": "Slip."}
    return Door(cast.farrier, cast.case).post("reading_correct", row.public_id, **sent | fields)


@pytest.fixture
def typed(measured: Cast, now: datetime) -> Reading:
    """A value that fits the one before it."""
    assert reading(measured, now, **{"LF-toe_angle": "51"}).status_code == 302
    return Reading.objects.latest("pk")


def test_a_correction_is_asked_about_as_a_typed_value_is(
    measured: Cast, now: datetime, typed: Reading
) -> None:
    answer = correct(measured, typed, **{"LF-toe_angle": "41"})
    assert answer.status_code == 422
    assert ASKED in text_of(answer)
    assert 'name="LF-toe_angle-sure"' in text_of(answer)
    assert saved() == [52, 51]
    kept = correct(measured, typed, **{"LF-toe_angle": "41", "LF-toe_angle-sure": "on"})
    assert kept.status_code == 302
    assert saved() == [52, 51, 41]


def test_a_correction_of_a_slip_is_not_asked_about(measured: Cast, now: datetime) -> None:
    reading(measured, now, **{"LF-toe_angle": "41", "LF-toe_angle-sure": "on"})
    slip = Reading.objects.latest("pk")
    assert correct(measured, slip, **{"LF-toe_angle": "51"}).status_code == 302


def test_a_correction_is_not_compared_with_what_was_taken_later(
    measured: Cast, now: datetime
) -> None:
    first = Reading.objects.get(quantity="toe_angle")
    reading(measured, now, **{"LF-toe_angle": "51"})
    assert correct(measured, first, **{"LF-toe_angle": "41"}).status_code == 302


def test_a_correction_of_the_method_alone_asks_nothing(measured: Cast, now: datetime) -> None:
    reading(measured, now, **{"LF-toe_angle": "41", "LF-toe_angle-sure": "on"})
    row = Reading.objects.latest("pk")
    answer = correct(measured, row, **{"LF-toe_angle": "41", "method": "photo"})
    assert answer.status_code == 302


def test_taking_a_reading_off_asks_nothing(measured: Cast, now: datetime, typed: Reading) -> None:
    assert correct(measured, typed, **{"LF-toe_angle": "41", "what": "off"}).status_code == 302
