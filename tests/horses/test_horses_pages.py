"""Your horses: the list in the order of need, a new one, and what is written about one."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from horses.judge import horse_judge
from horses.models import Case, Horse, Membership, Role
from horses.services.cases import case_close
from horses.services.horses import horse_create, horse_edit, horse_set_state
from tests import build
from tests.cast import Cast, join
from tests.horses.doors import Door, last_line, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")


def herd_page(person: Any) -> str:
    client = Client()
    client.force_login(person)
    return text_of(client.get("/horses/"))


def new_horse(cast: Cast, name: str, at: datetime, **fields: Any) -> Case:
    horse = horse_create(person=cast.owner, fields={"name": name, **fields}, now=at)
    return Case.objects.get(horse=horse)


# -- the list


def test_each_horse_shows_my_role_and_leads_to_each_of_its_boards(cast: Cast) -> None:
    page = herd_page(cast.farrier)
    assert "Juniper" in page
    assert 'data-role="farrier">Farrier<' in page
    assert f'href="/cases/{cast.case.public_id}/"' in page
    assert f'href="/cases/{cast.concern.public_id}/"' in page
    assert "Bramble" not in page


def test_the_stand_in_is_called_one(cast: Cast) -> None:
    assert "Stand-in farrier" in herd_page(cast.stand_in)


def test_different_roles_on_two_boards_are_both_said(cast: Cast) -> None:
    Membership.objects.filter(case=cast.concern, person=cast.carer).update(role=Role.OWNER)
    page = herd_page(cast.carer)
    assert "you are carer" in page
    assert "you are owner" in page


@pytest.mark.parametrize("who", ["stranger", "removed", "invited", "staff"])
def test_somebody_on_no_team_reads_what_to_do_first(cast: Cast, who: str) -> None:
    page = herd_page(cast.everyone[who])
    assert "No horse yet" in page
    assert 'href="/horses/new/"' in page
    assert "Juniper" not in page


def test_the_list_is_for_people_who_signed_in(db: None) -> None:
    response = Client().get("/horses/")
    assert response.status_code == 302
    assert response["Location"].startswith("/accounts/login/")


def test_the_list_is_only_looked_at(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.owner)
    assert client.post("/horses/").status_code == 405


def test_the_days_to_the_visit_and_since_the_trim_are_said(cast: Cast, now: datetime) -> None:
    farrier = cast.standing(cast.farrier)
    trimmed = now.date() - timedelta(days=37)
    build.visit(farrier, now, trimmed, next_on=now.date() + timedelta(days=5))
    page = herd_page(cast.owner)
    assert "37 days ago" in page
    assert "Sat 7 Nov 2026, in 5 days" in page
    assert "shod all round" in page


def test_the_shoes_are_those_of_the_last_work_on_each_foot(cast: Cast, now: datetime) -> None:
    farrier = cast.standing(cast.farrier)
    build.visit(farrier, now, now.date() - timedelta(days=60))
    bare = [
        build.WorkDone(foot=foot, trimmed=True, shoe="pulled", shoeing_left="barefoot")
        for foot in ("LH", "RH")
    ]
    build.visit(farrier, now, now.date() - timedelta(days=3), work=bare)
    assert "front shoes" in herd_page(cast.owner)


def test_horses_stand_in_the_order_of_need(cast: Cast, now: datetime) -> None:
    earlier = now - timedelta(days=200)
    new_horse(cast, "Aster", earlier)  # nothing
    late = new_horse(cast, "Birch", earlier)
    join(late, cast.farrier, Role.FARRIER, earlier)
    build.visit(cast.standing(cast.farrier, late), now, now.date() - timedelta(days=100))
    horse_judge(late.horse, now=now)
    waits = new_horse(cast, "Clover", earlier)
    join(waits, cast.farrier, Role.FARRIER, earlier)
    build.plan_item(cast.standing(cast.farrier, waits), now)
    build.flag(cast.standing(cast.owner), now, "in_sole")  # Juniper
    page = herd_page(cast.owner)
    places = [page.index(name) for name in ("Juniper", "Clover", "Birch", "Aster")]
    assert places == sorted(places)
    assert "Now: call your vet" in page
    assert "1 waits for your word" in page
    assert "Visit overdue" in page


def test_a_plan_item_waits_only_for_those_who_have_not_spoken(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.standing(cast.farrier), now)
    assert "waits for your word" not in herd_page(cast.farrier)
    assert "waits for your word" in herd_page(cast.vet)
    assert "waits for your word" not in herd_page(cast.carer)


def test_an_alert_counts_on_every_board_of_the_horse_once(cast: Cast, now: datetime) -> None:
    from horses.models import Alert

    Alert.objects.create(
        horse=cast.horse, rule="made.up", subject="LF", weight="alert", sentence="A slow change.",
        evidence={}, true_since=now, raised_at=now,
    )  # fmt: skip
    assert "1 alert<" in herd_page(cast.farrier)
    assert "alert<" not in herd_page(cast.other_farrier)


def test_a_closed_case_can_still_be_reached(cast: Cast, now: datetime) -> None:
    standing = cast.standing(cast.owner, cast.concern)
    case_close(standing=standing, outcome="met", words="Sound.", now=now)
    page = herd_page(cast.owner)
    assert "Closed cases (1)" in page
    assert f'href="/cases/{cast.concern.public_id}/"' in page


def test_a_paused_horse_says_so_and_is_not_overdue(cast: Cast, now: datetime) -> None:
    build.visit(
        cast.standing(cast.farrier), now - timedelta(days=90), now.date() - timedelta(days=90),
        next_on=now.date() - timedelta(days=40),
    )  # fmt: skip
    horse_set_state(
        standing=cast.standing(cast.owner), state="paused", reason="Out at grass.", now=now
    )
    page = herd_page(cast.owner)
    assert "Paused: Out at grass." in page
    assert "Visit overdue" not in page


def test_a_large_herd_costs_no_more_queries_than_a_small_one(cast: Cast, now: datetime) -> None:
    client = Client()
    client.force_login(cast.owner)

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as captured:
            assert client.get("/horses/").status_code == 200
        return len(captured)

    build.plan_item(cast.standing(cast.farrier), now)
    build.flag(cast.standing(cast.owner), now)
    build.visit(cast.standing(cast.farrier), now, now.date())
    few = queries()
    for number in range(12):
        case = new_horse(cast, f"Horse {number}", now)
        join(case, cast.farrier, Role.FARRIER, now)
        farrier = cast.standing(cast.farrier, case)
        build.plan_item(farrier, now)
        build.flag(farrier, now)
        build.visit(farrier, now, now.date())
    assert queries() == few
    assert few <= 25


# -- a new horse

FULL = {
    "name": "Meadowlark", "born_on": "2015-05-01", "sex": "mare", "breed": "cob type",
    "use": "school", "footing": "mixed", "turnout": "group", "yard": "Lower yard",
    "handling": "Kicks.\nTwo people.", "microchip": "276 0000 0000 0001",
    "ueln": "372414 + 1234567", "emergency_vet_name": "Night Vets",
    "emergency_vet_phone": "0100 999", "interval_weeks": "6", "client_key": "one",
}  # fmt: skip


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
        "/horses/new/", b"name=Wr%ED%A0%80en&interval_weeks=7",
        content_type="application/x-www-form-urlencoded",
    )  # fmt: skip
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
        standing=cast.standing(cast.owner), version=1, fields={"yard": "Upper yard", "sex": "mare"},
        now=now,
    )  # fmt: skip
    response = edited(cast, yard="Lower yard", emergency_vet_name="Day Vets")
    page = text_of(response)
    assert response.status_code == 409
    assert "Upper yard" in page  # theirs
    assert 'value="Lower yard"' in page  # mine, still in the form
    assert '<p class="words">mare</p>' in page
    assert 'name="version" value="2"' in page  # saving once more is a decision
    assert Horse.objects.get(pk=cast.horse.pk).yard == "Upper yard"


def test_saving_once_more_after_looking_at_both_stands(cast: Cast, now: datetime) -> None:
    horse_edit(
        standing=cast.standing(cast.owner), version=1, fields={"yard": "Upper yard"}, now=now
    )
    response = edited(cast, yard="Lower yard", version="2")
    assert response.status_code == 302
    assert Horse.objects.get(pk=cast.horse.pk).yard == "Lower yard"


def test_the_same_change_sent_twice_is_no_conflict(cast: Cast) -> None:
    fields = {
        "yard": "Upper yard", "emergency_vet_name": "Night Vets", "emergency_vet_phone": "0100 999"
    }  # fmt: skip
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
