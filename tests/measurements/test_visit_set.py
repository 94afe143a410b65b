"""What the form of a visit offers: one's own few values, what the vet asks for, the rest a tap away."""

import re
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from measurements.models import Reading, VisitSetup
from measurements.services.visit_setup import own_shoe_keep, visit_setup_save
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of
from tests.measurements.visit_form import send, sheet

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
FORM = "/me/visit-form/"


def _names(page: str) -> set[str]:
    """The values that the page has fields for."""
    named = re.findall(r'name="([LR][FH]-[a-z_]+-(?:before|after))"', page)
    return set(named)


def _page(cast: Cast) -> str:
    return text_of(Door(cast.farrier, cast.case).get("visit_new"))


def _set(
    cast: Cast, *measured: str, feet: tuple[str, ...] = ("LF", "RF", "LH", "RH"), **more: Any
) -> None:
    more = {"blind": False} | more
    visit_setup_save(person=cast.farrier, measured=measured, feet=feet, **more)


def test_without_a_choice_it_is_toe_angle_and_length_after_the_trim(cast: Cast) -> None:
    feet = ("LF", "RF", "LH", "RH")
    assert _names(_page(cast)) == {
        f"{foot}-{quantity}-after" for foot in feet for quantity in ("toe_angle", "toe_length")
    }


def test_ones_own_set_says_which_values_when_and_on_which_feet(cast: Cast) -> None:
    _set(cast, "heel_angle-before", feet=("LF", "RF"))
    assert _names(_page(cast)) == {"LF-heel_angle-before", "RF-heel_angle-before"}


def test_what_the_vets_band_is_for_is_added_and_says_so(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now, quantity="heel_angle", low=Decimal(45), high=None)
    page = _page(cast)
    assert "LF-heel_angle-after" in _names(page)
    assert "RF-heel_angle-after" not in _names(page)
    assert "asked for by the vet: left fore 45° or more" in page


def test_a_farriers_own_aim_is_not_said_to_be_the_vets(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.farrier), now, quantity="heel_angle", therapeutic=False)
    page = _page(cast)
    assert "asked for by the vet" not in page
    assert "LF-heel_angle-after" not in _names(page)


def test_what_was_measured_within_about_a_year_is_one_tap_away(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    for quantity, days in (("frog_width", 390), ("hoof_width", 410)):
        at = now - timedelta(days=days)
        build.reading(farrier, at, "LF", quantity, 60, at.date())
    page = _page(cast)
    lately = re.findall(r'<option data-lately\s+value="([a-z_]+)-', page)
    assert set(lately) == {"frog_width"}
    assert 'value="hoof_width-after"' in page  # behind another tap
    door = Door(cast.farrier, cast.case)
    opened = text_of(door.client.post(door.address("visit_new"), {"as_last": "lately"}))
    assert any(name.startswith("LF-frog_width") for name in _names(opened))
    assert not any(name.startswith("LF-hoof_width") for name in _names(opened))


def test_another_row_is_added_without_scripts_and_stays(cast: Cast) -> None:
    door = Door(cast.farrier, cast.case)
    typed = {"as_last": "more", "added": "hoof_width-after", "LF-toe_angle-after": "52"}
    page = text_of(door.client.post(door.address("visit_new"), typed))
    assert "RH-hoof_width-after" in _names(page)
    assert 'name="extra" value=" hoof_width-after"' in page or 'value="hoof_width-after"' in page
    sent = sheet("LF", extra="hoof_width-after", **{"LF-hoof_width-after": "no number"})
    again = door.client.post(door.address("visit_new"), sent)
    assert again.status_code == 422
    assert "RH-hoof_width-after" in _names(text_of(again))


@pytest.mark.parametrize("added", ["", "nonsense", "toe_angle", "x" * 5000, "hoof_width-noon"])
def test_a_row_that_is_none_adds_nothing(added: str, cast: Cast) -> None:
    door = Door(cast.farrier, cast.case)
    answer = door.client.post(door.address("visit_new"), {"as_last": "more", "added": added})
    assert answer.status_code == 200
    assert len(_names(text_of(answer))) == 8


def test_what_only_a_film_shows_is_not_asked_of_a_farrier(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now, quantity="sole_depth", low=Decimal(12), high=None)
    assert not any("sole_depth" in name for name in _names(_page(cast)))


def test_a_value_that_nobody_touched_is_not_saved(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [52, 51.5])
    before = Reading.objects.count()
    answer = Door(cast.farrier, cast.case).get("visit_new")
    untouched = {
        name: field.value() or ""
        for name in _names(text_of(answer))
        for field in [answer.context["form"][name]]  # type: ignore[attr-defined]
    }
    assert set(untouched.values()) == {""}
    assert send(cast, "LF", words="Trimmed.", **untouched).status_code == 302
    assert Reading.objects.count() == before


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("stepped", "stepped"),
        ("confirmed", "confirmed"),
        ("spoken", "spoken"),
        ("picture", "typed"),  # said of no points: tests/measurements/test_picture_of_visit.py
        ("", "typed"),
        ("guessed", "typed"),
        ("<b>", "typed"),
    ],
)
def test_how_a_value_was_entered_is_kept_with_it(sent: str, kept: str, cast: Cast) -> None:
    send(cast, "LF", **{"LF-toe_angle-after": "52", "LF-toe_angle-after-how": sent})
    reading = Reading.objects.get()
    assert (reading.entered_how, reading.entered_blind) == (kept, False)


def test_who_enters_blind_sees_no_last_value_and_it_is_kept_with_the_reading(
    cast: Cast, now: datetime
) -> None:
    build.series(cast.access(cast.farrier), now, [52, 51.5])
    _set(cast, "toe_angle-after", blind=True)
    page = _page(cast)
    assert "51.5" not in page
    assert '<input type="hidden" name="blind" value="1">' in page
    send(cast, "LF", blind="1", **{"LF-toe_angle-after": "52"})
    assert Reading.objects.order_by("-pk")[0].entered_blind


def test_how_it_was_entered_survives_a_form_that_is_refused(cast: Cast) -> None:
    answer = send(
        cast, "LF", kept_on="", **{"LF-toe_angle-after": "52", "LF-toe_angle-after-how": "stepped"}
    )
    assert 'name="LF-toe_angle-after-how" value="stepped"' in text_of(answer)


def test_the_page_of_ones_own_form_saves_what_was_chosen(cast: Cast) -> None:
    door = Door(cast.farrier, cast.case)
    chosen = {"measured": ["toe_angle-before", "heel_angle-after"], "feet": ["LF"], "blind": "on"}
    assert door.client.post(FORM, chosen).status_code == 302
    row = VisitSetup.objects.get(person=cast.farrier)
    assert (row.measured, row.feet, row.blind) == (chosen["measured"], ["LF"], True)
    page = text_of(door.client.get(FORM))
    assert page.count("checked") == 4


@pytest.mark.parametrize(
    "sent",
    [{"measured": "nonsense", "feet": "LF"}, {"feet": "XX"}, {"measured": "toe_angle-after"}],
)
def test_a_choice_that_is_none_is_said_beside_its_field(sent: dict[str, str], cast: Cast) -> None:
    answer = Door(cast.farrier, cast.case).client.post(FORM, sent)
    assert answer.status_code == 422
    assert not VisitSetup.objects.exists()


def test_a_shoe_named_at_a_visit_is_ones_own_from_then_on(cast: Cast) -> None:
    send(
        cast,
        "LF",
        **{
            "LF-shoe": "new",
            "LF-kind": "bar",
            "LF-size": "4",
            "LF-keep_as": "egg bar",
            "LF-left": "",
        },
    )
    page = _page(cast)
    assert ">egg bar</button>" in page
    door = Door(cast.farrier, cast.case)
    sent = door.client.post(door.address("visit_new"), {"as_last": "hinds-own0"})
    form = sent.context["form"]
    assert (form["LH-kind"].value(), form["RH-size"].value(), form["LH-shoe"].value()) == (
        "bar",
        "4",
        "new",
    )
    assert ">egg bar</button>" not in text_of(Door(cast.stand_in, cast.case).get("visit_new"))


def test_a_shoe_is_forgotten_on_the_page_of_ones_own_form(cast: Cast) -> None:
    own_shoe_keep(person=cast.farrier, name="egg bar", shoe={"kind": "bar"})
    client = Door(cast.farrier, cast.case).client
    assert "egg bar" in text_of(client.get(FORM))
    client.post(FORM, {"measured": [], "feet": ["LF"], "without": ["egg bar"]})
    assert VisitSetup.objects.get().shoes == []


def test_of_two_shoes_of_one_name_the_newer_stands_and_the_oldest_of_many_goes(cast: Cast) -> None:
    for number in range(14):
        own_shoe_keep(person=cast.farrier, name=f"shoe {number % 13}", shoe={"size": str(number)})
    shoes = VisitSetup.objects.get().shoes
    assert len(shoes) == 12
    assert (shoes[0]["name"], shoes[-1]) == ("shoe 2", {"name": "shoe 0", "size": "13"})
