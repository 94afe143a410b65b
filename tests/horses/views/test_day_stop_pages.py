"""The page of a stop: in few taps, without a script, and only of one's own horses."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from horses.models import Case, Person, Role, Visit
from horses.services.horses import horse_create
from horses.services.visit_planning import visit_plan
from tests.cast import Cast, join
from tests.horses.doors import text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
STOP = "/round/stop/"
DAY = timedelta(days=1)


@pytest.fixture
def two(cast: Cast, now: datetime) -> list[str]:
    horse = horse_create(person=cast.owner, fields={"name": "Acorn"}, now=now)
    acorn = Case.objects.get(horse=horse)
    join(acorn, cast.farrier, Role.FARRIER, now)
    for case in (cast.case, acorn):
        visit_plan(access=cast.access(cast.farrier, case), on=now.date() + DAY, now=now)
    return [cast.case.public_id, acorn.public_id]


def client_of(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def page(person: Person, ids: list[str], **more: Any) -> Any:
    return client_of(person).get(STOP, {"c": ids, **more})


def send(person: Person, ids: list[str], **fields: Any) -> Any:
    return client_of(person).post(STOP, {"c": ids, "kind": "farrier", **fields})


def planned(now: datetime) -> list[int]:
    return [
        (visit.planned_on - now.date()).days
        for visit in Visit.objects.planned()
        if visit.planned_on
    ]


def test_all_are_moved_with_a_day_and_a_press(cast: Cast, two: list[str], now: datetime) -> None:
    text = text_of(page(cast.owner, two))
    week_later = (now.date() + 8 * DAY).isoformat()
    assert f'value="{week_later}"' in text
    assert send(cast.owner, two, do="move", quick=week_later).status_code == 302
    assert planned(now) == [8, 8]


def test_a_horse_that_is_unticked_stays(cast: Cast, two: list[str], now: datetime) -> None:
    send(cast.owner, two[:1], do="move", quick="day", on=(now.date() + 5 * DAY).isoformat())
    assert sorted(planned(now)) == [1, 5]


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"quick": "day"},
        {"quick": "2020-01-01"},
        {"quick": "day", "on": "2020-01-01"},
        {"quick": "day", "on": "soon"},
        {"quick": "day", "on": "2026-11-20", "at": "quarter past"},
        {"quick": "day", "on": "2026-11-20", "words": "x" * 301},
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_nothing_moves(
    cast: Cast, two: list[str], now: datetime, fields: dict[str, str]
) -> None:
    answer = send(cast.owner, two, do="move", **fields)
    assert answer.status_code == 422
    assert "field-error" in text_of(answer)
    assert planned(now) == [1, 1]


def test_a_reason_is_wanted_for_calling_it_off(cast: Cast, two: list[str], now: datetime) -> None:
    assert send(cast.owner, two, do="cancel", reason="").status_code == 422
    assert send(cast.owner, two, do="cancel", reason="Away.").status_code == 302
    assert planned(now) == []


def test_the_day_is_confirmed_for_all_in_one_tap(cast: Cast, two: list[str]) -> None:
    assert "Confirm 2" in text_of(client_of(cast.owner).get("/round/"))
    send(cast.owner, two, do="confirm")
    assert Visit.objects.planned().exclude(confirmed_at=None).count() == 2
    assert "Confirm 2" not in text_of(client_of(cast.owner).get("/round/"))


def test_the_numbers_set_the_order_without_a_script(cast: Cast, two: list[str]) -> None:
    fields = {f"n-{two[0]}": "2", f"n-{two[1]}": "1"}
    send(cast.farrier, two, do="order", **fields)
    text = text_of(client_of(cast.farrier).get("/round/"))
    assert text.index("Acorn") < text.index("Juniper")


@pytest.mark.parametrize("number", ["", "x", "-1", "1e3", "٣", "9" * 50])
def test_a_number_that_is_none_leaves_the_order(cast: Cast, two: list[str], number: str) -> None:
    assert send(cast.farrier, two, do="order", **{f"n-{two[0]}": number}).status_code == 302
    assert not Visit.objects.exclude(day_order=None).exists()


def test_only_whoever_comes_is_offered_the_delay_and_the_order(cast: Cast, two: list[str]) -> None:
    assert "Running late" in text_of(page(cast.farrier, two))
    assert "Save this order" in text_of(page(cast.farrier, two))
    assert "Running late" not in text_of(page(cast.owner, two))
    assert "Save this order" not in text_of(page(cast.owner, two))
    assert send(cast.owner, two, late="30").status_code == 403
    assert send(cast.owner, two, do="order", **{f"n-{two[0]}": "2"}).status_code == 403


def test_a_carer_reads_and_moves_nothing(cast: Cast, two: list[str], now: datetime) -> None:
    assert "Move" not in text_of(page(cast.carer, two[:1])).split("<main")[1].split("Back")[1]
    answer = send(cast.carer, two[:1], do="move", quick=(now.date() + 2 * DAY).isoformat())
    assert answer.status_code == 403
    assert planned(now) == [1, 1]


@pytest.mark.parametrize("who", ["stranger", "other_owner", "removed", "staff"])
def test_nobody_else_finds_it(cast: Cast, two: list[str], now: datetime, who: str) -> None:
    person = cast.everyone[who]
    assert page(person, two).status_code == 404
    assert send(person, two, do="cancel", reason="x").status_code == 404
    assert planned(now) == [1, 1]


def test_nothing_named_leads_back_to_the_days(cast: Cast) -> None:
    answer = client_of(cast.owner).get(STOP)
    assert answer.status_code == 302
    assert "/round/" in answer["Location"]
