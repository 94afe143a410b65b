"""What the forms about a horse take and refuse, field by field. No database."""

from datetime import date
from typing import Any

import pytest

from horses.forms.days import years_before
from horses.forms.horse import HorseNewForm, horse_value_words
from horses.forms.horse_care import HorseStateForm, WeightForm
from horses.models import Horse

TODAY = date(2026, 11, 2)
HUGE = "x" * 1_000_000

HORSE = {
    "name": "Meadowlark",
    "born_on": "2015-05-01",
    "sex": "mare",
    "breed": "cob type",
    "use": "school",
    "footing": "mixed",
    "turnout": "group",
    "yard": "Lower yard",
    "handling": "Kicks.\nTwo people.",
    "microchip": "276 0000 0000 0001",
    "ueln": "372414 + 1234567",
    "emergency_vet_name": "Night Vets",
    "emergency_vet_phone": "0100 999",
    "interval_weeks": "6",
    "client_key": "one",
}
WEIGHT = {
    "weight": "512,5",
    "unit": "kg",
    "method": "tape",
    "weighed_on": "2026-11-01",
    "client_key": "one",
}


def horse_form(**fields: Any) -> HorseNewForm:
    return HorseNewForm({**HORSE, **fields}, today=TODAY)


def test_a_full_form_gives_the_horses_own_fields() -> None:
    form = horse_form()
    assert form.is_valid(), form.errors
    fields = form.horse_fields()
    assert fields["microchip"] == "276000000000001"
    assert fields["interval_days"] == 42
    assert set(fields) <= {field.name for field in Horse._meta.get_fields()}


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("name", "", "Please fill this in."),
        ("name", " \x00 ", "Please fill this in."),
        ("name", "\ud800", "Please fill this in."),
        ("name", HUGE, "there is room for 80"),
        ("born_on", "2026-11-03", "still to come"),
        ("born_on", "1960-01-01", "more than 60 years ago"),
        ("born_on", "0001-01-01", "more than 60 years ago"),
        ("born_on", "9999-12-31", "still to come"),
        ("born_on", "spring", "not a day we can read"),
        ("born_on", "2015-02-30", "not a day we can read"),
        ("born_on", HUGE, "not a day we can read"),
        ("sex", "unicorn", "Please choose one of the list."),
        ("use", "\x00", "Please choose one of the list."),
        ("microchip", "12345", "this one has 5"),
        ("microchip", "000123456789012", "000 is none"),
        ("ueln", "12", "this one has 2"),
        ("interval_weeks", "", "how many weeks"),
        ("interval_weeks", "1", "At least 2 weeks."),
        ("interval_weeks", "27", "At most 26 weeks."),
        ("interval_weeks", "NaN", "whole number of weeks"),
        ("interval_weeks", "6.5", "whole number of weeks"),
        ("interval_weeks", "9" * 6000, "whole number of weeks"),
        ("handling", "x" * 501, "there is room for 500"),
        ("emergency_vet_phone", "0" * 41, "there is room for 40"),
        ("client_key", "k" * 65, "at most 64 characters"),
        ("client_key", "\x00", "Null characters"),
    ],
)
def test_a_horses_field_that_cannot_be_says_why(field: str, typed: str, says: str) -> None:
    form = horse_form(**{field: typed})
    assert not form.is_valid()
    assert list(form.errors) == [field]
    assert says in form.errors[field][0]


@pytest.mark.parametrize("typed", ["2015-05-01", "01/05/2015", "1.5.2015", "1 May 2015"])
def test_a_day_may_be_written_in_several_ways(typed: str) -> None:
    form = horse_form(born_on=typed)
    assert form.is_valid()
    assert form.cleaned_data["born_on"] == date(2015, 5, 1)


def test_a_horse_of_sixty_years_is_still_taken() -> None:
    assert horse_form(born_on="1966-11-02").is_valid()


def test_the_day_a_year_before_a_leap_day_is_the_28th() -> None:
    assert years_before(date(2028, 2, 29), 1) == date(2027, 2, 28)


def test_every_field_stands_in_one_section() -> None:
    form = horse_form()
    shown = [field.name for section in form.sections() for field in section.fields]
    assert sorted(shown) == sorted(set(form.fields) - {"client_key"})


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("sex", "mare", "mare"),
        ("use", "school", "riding school"),
        ("born_on", "2015-05-01", "Fri 1 May 2015"),
        ("interval_days", 49, "7"),
        ("yard", "Lower yard", "Lower yard"),
        ("born_on", None, ""),
    ],
)
def test_a_value_is_compared_in_words(name: str, value: Any, words: str) -> None:
    assert horse_value_words(name, value) == words


@pytest.mark.parametrize(
    ("fields", "field", "says"),
    [
        ({}, "happening", "Please choose what has happened."),
        ({"happening": "gone"}, "happening", "Please choose one of these."),
        ({"happening": "resumed"}, "happening", "Please choose one of these."),
        ({"happening": "end", "words": ""}, "words", "Please say in a few words why."),
        ({"happening": "pause", "words": "\x00"}, "words", "Please say in a few words why."),
        ({"happening": "end", "words": HUGE}, "words", "there is room for 240"),
    ],
)
def test_a_state_that_cannot_be_says_why(fields: dict[str, str], field: str, says: str) -> None:
    form = HorseStateForm(fields, state="active")
    assert not form.is_valid()
    assert says in form.errors[field][0]


def test_the_longest_reason_still_fits() -> None:
    form = HorseStateForm({"happening": "moved", "words": "x" * 240, "sure": "on"}, state="active")
    assert form.is_valid()
    assert len(form.reason) <= 300


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("weight", "", "Please fill this in."),
        ("weight", "heavy", "Could not read"),
        ("weight", "NaN", "Could not read"),
        ("weight", "1e308", "Could not read"),
        ("weight", "1,100", "in two ways"),
        ("weight", "5125", "between 10 and 1500 kg"),
        ("weight", "5", "between 10 and 1500 kg"),
        ("weight", HUGE, "there is room for 40"),
        ("unit", "stone", "Please choose kilograms or pounds."),
        ("unit", "", "Please choose kilograms or pounds."),
        ("method", "magic", "Please choose how the weight was found."),
        ("weighed_on", "", "Please give the day."),
        ("weighed_on", "2026-11-03", "still to come"),
        ("weighed_on", "0001-01-01", "not born yet"),
        ("weighed_on", "9999-12-31", "still to come"),
        ("weighed_on", "2014-04-30", "not born yet"),
    ],
)
def test_a_weight_that_cannot_be_says_why(field: str, typed: str, says: str) -> None:
    form = WeightForm({**WEIGHT, field: typed}, today=TODAY, born_on=date(2014, 5, 1))
    assert not form.is_valid()
    assert list(form.errors) == [field]
    assert says in form.errors[field][0]


def test_a_weight_from_another_century_is_asked_about() -> None:
    form = WeightForm({**WEIGHT, "weighed_on": "1926-11-01"}, today=TODAY)
    assert "look at the year again" in form.errors["weighed_on"][0]
