"""A new horse, and what is written about one: saved once, never over somebody else's words."""

from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client

from horses.models import Horse, Role
from horses.services.horses import horse_edit
from tests.cast import Cast
from tests.horses.doors import Door, last_line, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")


# -- a new horse

FULL = {
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


def post_new(cast: Cast, **fields: Any) -> Any:
    client = Client()
    client.force_login(cast.stranger)
    return client.post("/horses/new/", {**FULL, **fields})


def test_a_new_horse_is_made_with_all_that_was_said(cast: Cast) -> None:
    response = post_new(cast)
    horse = Horse.objects.get(name="Meadowlark")
    case = horse.cases.get()
    assert response.status_code == 302
    assert response["Location"] == f"/cases/{case.public_id}/"
    assert (horse.born_on, horse.sex, horse.interval_days) == (date(2015, 5, 1), "mare", 42)
    assert (horse.microchip, horse.ueln) == ("276000000000001", "372414001234567")
    assert horse.handling == "Kicks.\nTwo people."
    assert case.memberships.get().person == cast.stranger
    assert case.memberships.get().role == Role.OWNER
    assert last_line(case, "horse.created").actor == cast.stranger


def test_only_the_name_is_needed_and_a_missing_number_is_pointed_out(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.stranger)
    response = client.post("/horses/new/", {"name": "Wren", "interval_weeks": "7"}, follow=True)
    assert Horse.objects.filter(name="Wren").exists()
    assert "No emergency number is written down for Wren yet." in text_of(response)


def test_the_same_form_sent_twice_makes_one_horse(cast: Cast) -> None:
    first, second = post_new(cast), post_new(cast)
    assert first["Location"] == second["Location"]
    assert Horse.objects.filter(name="Meadowlark").count() == 1


def test_the_same_form_with_other_words_is_not_saved_silently(cast: Cast) -> None:
    post_new(cast)
    response = post_new(cast, name="Nightjar")
    page = text_of(response)
    assert response.status_code == 409
    assert 'value="Nightjar"' in page
    assert 'value="one"' not in page  # a fresh key: sent once more, it is a second horse
    assert not Horse.objects.filter(name="Nightjar").exists()


def test_a_chip_number_that_cannot_be_is_saved_with_a_doubt(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.stranger)
    response = client.post("/horses/new/", {**FULL, "microchip": "900274877906944"}, follow=True)
    assert Horse.objects.get(name="Meadowlark").microchip == "900274877906944"
    assert "Please read the number again." in text_of(response)


def test_what_cannot_be_is_said_beside_the_field_and_the_rest_is_kept(cast: Cast) -> None:
    response = post_new(cast, born_on="2026-11-03", name="x" * 1_000_000)
    page = text_of(response)
    assert response.status_code == 422
    assert "This day is still to come." in page
    assert "there is room for 80" in page
    assert 'value="cob type"' in page
    assert not Horse.objects.filter(breed="cob type").exists()


def test_an_empty_form_is_answered_and_not_broken(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.stranger)
    response = client.post("/horses/new/", {})
    assert response.status_code == 422
    assert "Please fill this in." in text_of(response)


def test_half_a_character_in_a_name_is_left_out(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.stranger)
    client.post(
        "/horses/new/",
        b"name=Wr%ED%A0%80en&interval_weeks=7",
        content_type="application/x-www-form-urlencoded",
    )
    horse = Horse.objects.get(cases__opened_by=cast.stranger)
    assert horse.name.startswith("Wr")
    assert horse.name.endswith("en")


def test_a_new_horse_is_asked_for_and_sent_in_no_other_way(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.stranger)
    assert client.get("/horses/new/").status_code == 200
    assert client.put("/horses/new/").status_code == 405


# -- what is written about a horse


def edited(cast: Cast, **fields: Any) -> Any:
    current = {"name": "Juniper", "interval_weeks": "7", "version": "1"}
    door = Door(cast.owner, cast.case)
    return door.client.post(door.address("horse_edit"), {**current, **fields})


def test_a_change_is_saved_with_what_stood_there_before(cast: Cast) -> None:
    response = edited(cast, yard="Upper yard", emergency_vet_phone="0100 777")
    assert response.status_code == 302
    horse = Horse.objects.get(pk=cast.horse.pk)
    assert (horse.yard, horse.emergency_vet_phone, horse.version) == ("Upper yard", "0100 777", 2)
    line = last_line(cast.case, "horse.edited")
    assert line.before is not None
    assert line.before["emergency_vet_phone"] == "0100 999"


def test_the_form_shows_what_is_written(cast: Cast) -> None:
    page = text_of(Door(cast.owner, cast.case).get("horse_edit"))
    assert 'value="Juniper"' in page
    assert 'value="0100 999"' in page
    assert 'name="version" value="1"' in page


@pytest.mark.parametrize("who", ["vet", "farrier", "stand_in", "carer"])
@pytest.mark.parametrize("method", ["get", "post"])
def test_only_the_owner_changes_it(cast: Cast, who: str, method: str) -> None:
    door = Door(cast.everyone[who], cast.case)
    response = getattr(door, method)("horse_edit")
    assert response.status_code == 403
    assert "is for the owner of this case" in text_of(response)


@pytest.mark.parametrize("who", ["stranger", "removed", "other_owner", "staff"])
def test_nobody_else_learns_that_the_horse_is_here(cast: Cast, who: str) -> None:
    door = Door(cast.everyone[who], cast.case)
    assert door.get("horse_edit").status_code == 404
    assert door.post("horse_edit", yard="Mine").status_code == 404


def test_somebody_elses_change_is_not_overwritten(cast: Cast, now: datetime) -> None:
    horse_edit(
        access=cast.access(cast.owner),
        version=1,
        fields={"yard": "Upper yard", "sex": "mare"},
        now=now,
    )
    response = edited(cast, yard="Lower yard", emergency_vet_name="Day Vets")
    page = text_of(response)
    assert response.status_code == 409
    assert "Upper yard" in page  # theirs
    assert 'value="Lower yard"' in page  # mine, still in the form
    assert '<p class="words">mare</p>' in page
    assert 'name="version" value="2"' in page  # saving once more is a decision
    assert Horse.objects.get(pk=cast.horse.pk).yard == "Upper yard"


def test_saving_once_more_after_looking_at_both_stands(cast: Cast, now: datetime) -> None:
    horse_edit(access=cast.access(cast.owner), version=1, fields={"yard": "Upper yard"}, now=now)
    response = edited(cast, yard="Lower yard", version="2")
    assert response.status_code == 302
    assert Horse.objects.get(pk=cast.horse.pk).yard == "Lower yard"


def test_the_same_change_sent_twice_is_no_conflict(cast: Cast) -> None:
    fields = {
        "yard": "Upper yard",
        "emergency_vet_name": "Night Vets",
        "emergency_vet_phone": "0100 999",
    }
    assert edited(cast, **fields).status_code == 302
    assert edited(cast, **fields).status_code == 302
    assert Horse.objects.get(pk=cast.horse.pk).version == 2


@pytest.mark.parametrize("version", ["", "abc", "-1", "9" * 400, "1.5"])
def test_a_version_that_cannot_be_loses_nothing(cast: Cast, version: str) -> None:
    assert edited(cast, yard="Upper yard", version=version).status_code == 409
    assert Horse.objects.get(pk=cast.horse.pk).yard == ""


def test_an_interval_that_was_left_alone_keeps_its_days(cast: Cast) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(interval_days=45)
    edited(cast, interval_weeks="6", yard="Upper yard")
    assert Horse.objects.get(pk=cast.horse.pk).interval_days == 45


def test_an_edit_that_cannot_be_keeps_what_was_typed(cast: Cast) -> None:
    response = edited(cast, name="", yard="Upper yard")
    assert response.status_code == 422
    assert 'value="Upper yard"' in text_of(response)
