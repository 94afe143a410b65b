"""Your horses: the list in the order of need, whatever its length."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from horses.models import Case, Membership, Role
from horses.rules.engine import evaluate
from horses.services.cases import case_close
from horses.services.horses import horse_create, horse_set_state
from tests import build
from tests.cast import Cast, join
from tests.horses.doors import text_of

pytestmark = pytest.mark.usefixtures("clock_stands")


def herd_page(person: Any) -> str:
    client = Client()
    client.force_login(person)
    return text_of(client.get("/horses/?view=cards"))


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
    farrier = cast.access(cast.farrier)
    trimmed = now.date() - timedelta(days=37)
    build.visit(farrier, now, trimmed, next_on=now.date() + timedelta(days=5))
    page = herd_page(cast.owner)
    assert "37 days ago" in page
    assert "Sat 7 Nov 2026, in 5 days" in page
    assert "shod all round" in page


def test_the_shoes_are_those_of_the_last_work_on_each_foot(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
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
    build.visit(cast.access(cast.farrier, late), now, now.date() - timedelta(days=100))
    evaluate(late.horse, now=now)
    waits = new_horse(cast, "Clover", earlier)
    join(waits, cast.farrier, Role.FARRIER, earlier)
    build.plan_item(cast.access(cast.farrier, waits), now)
    build.flag(cast.access(cast.owner), now, "in_sole")  # Juniper
    page = herd_page(cast.owner)
    places = [page.index(name) for name in ("Juniper", "Birch", "Clover", "Aster")]
    assert places == sorted(places)
    assert "Now: call your vet" in page
    assert "1 plan item for you to answer" in page
    assert "Visit overdue" in page


def test_a_plan_item_waits_only_for_those_who_have_not_spoken(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.farrier), now)
    assert "for you to answer" not in herd_page(cast.farrier)
    assert "for you to answer" in herd_page(cast.vet)
    assert "for you to answer" not in herd_page(cast.carer)


def test_an_alert_counts_on_every_board_of_the_horse_once(cast: Cast, now: datetime) -> None:
    from horses.models import Alert

    Alert.objects.create(
        horse=cast.horse,
        rule="made.up",
        subject="LF",
        weight="alert",
        sentence="A slow change.",
        evidence={},
        true_since=now,
        raised_at=now,
    )
    assert "1 alert<" in herd_page(cast.farrier)
    assert "alert<" not in herd_page(cast.other_farrier)


def test_a_closed_case_can_still_be_reached(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner, cast.concern)
    case_close(access=access, outcome="met", words="Sound.", now=now)
    page = herd_page(cast.owner)
    assert "Closed cases (1)" in page
    assert f'href="/cases/{cast.concern.public_id}/"' in page


def test_a_paused_horse_says_so_and_is_not_overdue(cast: Cast, now: datetime) -> None:
    build.visit(
        cast.access(cast.farrier),
        now - timedelta(days=90),
        now.date() - timedelta(days=90),
        next_on=now.date() - timedelta(days=40),
    )
    horse_set_state(access=cast.access(cast.owner), state="paused", reason="Out at grass.", now=now)
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

    build.plan_item(cast.access(cast.farrier), now)
    build.flag(cast.access(cast.owner), now)
    build.visit(cast.access(cast.farrier), now, now.date())
    few = queries()
    for number in range(12):
        case = new_horse(cast, f"Horse {number}", now)
        join(case, cast.farrier, Role.FARRIER, now)
        farrier = cast.access(cast.farrier, case)
        build.plan_item(farrier, now)
        build.flag(farrier, now)
        build.visit(farrier, now, now.date())
    assert queries() == few
    assert few <= 25
