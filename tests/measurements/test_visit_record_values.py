"""The values of a visit: typed in any unit, questioned when odd, measured as was said."""

from datetime import datetime
from decimal import Decimal

import pytest

from measurements.models import Reading
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of
from tests.measurements.visit_form import send

pytestmark = pytest.mark.usefixtures("clock_stands")


def test_the_last_value_stands_beside_its_field_and_not_in_it(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [52, 51.5])
    answer = Door(cast.farrier, cast.case).get("visit_new")
    page = text_of(answer)
    assert "was 51.5°, 23 Oct" in page
    assert 'data-last="51.5"' in page
    assert not answer.context["form"]["LF-toe_angle-after"].value()  # type: ignore[attr-defined]


def test_the_last_values_are_in_the_units_of_the_person(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [83], quantity="toe_length")
    cast.farrier.length_unit = "in"
    cast.farrier.save()
    assert "was 3.27 in" in text_of(Door(cast.farrier, cast.case).get("visit_new"))


@pytest.mark.parametrize(
    ("typed", "mm"), [("8,3 cm", "83"), ("3 1/4 in", "82.55"), ("83 mm", "83"), ("8.3", "83")]
)
def test_a_value_may_be_typed_in_any_unit(cast: Cast, typed: str, mm: str) -> None:
    send(cast, "LF", **{"LF-toe_length-after": typed})
    reading = Reading.objects.get()
    assert reading.value == Decimal(mm)
    assert reading.entered_text == typed


def test_inches_are_the_unit_of_a_person_who_chose_them(cast: Cast) -> None:
    cast.farrier.length_unit = "in"
    cast.farrier.save()
    send(cast, "LF", **{"LF-toe_length-after": "3 1/4"})
    assert Reading.objects.get().value == Decimal("82.55")


def test_an_unusual_value_asks_for_a_second_look_and_keeps_everything(cast: Cast) -> None:
    answer = send(
        cast, "LF", words="Very upright.", **{"LF-toe_angle-after": "71", "LF-words": "crack"}
    )
    page = text_of(answer)
    assert answer.status_code == 422
    assert "71 is unusual for the toe angle" in page
    assert 'name="LF-toe_angle-after-sure"' in page
    assert 'value="71"' in page
    assert "Very upright." in page
    assert 'value="crack"' in page
    assert not Reading.objects.exists()


def test_an_unusual_value_is_taken_when_it_was_measured_again(cast: Cast) -> None:
    send(cast, "LF", **{"LF-toe_angle-after": "71", "LF-toe_angle-after-sure": "on"})
    assert Reading.objects.get().confirmed_odd


def test_an_ordinary_value_is_not_marked_as_odd_by_a_stray_tick(cast: Cast) -> None:
    send(cast, "LF", **{"LF-toe_angle-after": "52", "LF-toe_angle-after-sure": "on"})
    assert not Reading.objects.get().confirmed_odd


def test_an_impossible_value_is_refused_even_when_sure(cast: Cast) -> None:
    fields = {"LF-toe_angle-after": "520", "LF-toe_angle-after-sure": "on"}
    answer = send(cast, "LF", **fields)
    assert answer.status_code == 422
    assert "cannot be the toe angle of a horse" in text_of(answer)


@pytest.mark.parametrize("typed", ["3 3/8", "3⅜", "3.375"])
def test_inches_typed_as_millimetres_are_told_how_to_be_written(cast: Cast, typed: str) -> None:
    answer = send(cast, "LF", **{"LF-toe_length-after": typed})
    assert answer.status_code == 422
    assert f"Inches? Write “{typed} in”." in text_of(answer)


@pytest.mark.parametrize("typed", ["3 3/8 mm", "2000"])
def test_what_cannot_be_inches_is_told_nothing_of_them(cast: Cast, typed: str) -> None:
    answer = send(cast, "LF", **{"LF-toe_length-after": typed})
    assert answer.status_code == 422
    assert "Inches?" not in text_of(answer)


def test_a_length_in_an_angle_field_is_refused_with_the_reason(cast: Cast) -> None:
    answer = send(cast, "LF", **{"LF-toe_angle-after": "8 cm"})
    assert answer.status_code == 422
    assert "This is an angle" in text_of(answer)


def test_the_box_to_tick_is_not_there_before_it_is_needed(cast: Cast) -> None:
    assert "-sure" not in text_of(Door(cast.farrier, cast.case).get("visit_new"))


def test_the_method_of_the_visit_counts_where_it_fits(cast: Cast) -> None:
    send(
        cast,
        "LF",
        angle_method="photo",
        length_method="photo",
        **{"LF-toe_angle-after": "52", "LF-coronary_circumference-after": "36 cm"},
    )
    methods = {r.quantity: r.method for r in Reading.objects.all()}
    assert methods == {"toe_angle": "photo", "coronary_circumference": "tape"}


def test_one_quantity_may_be_measured_with_something_else(cast: Cast) -> None:
    fields = {"LF-toe_angle-after": "52", "LF-heel_angle-after": "47", "method-heel_angle": "photo"}
    send(cast, "LF", **fields)
    methods = {r.quantity: r.method for r in Reading.objects.all()}
    assert methods == {"toe_angle": "gauge", "heel_angle": "photo"}
