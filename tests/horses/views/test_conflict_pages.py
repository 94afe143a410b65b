"""Two people save the same thing: the second one sees both texts, by whom and when, and keeps theirs.

Every page that changes something is here; each one is read by the loser before the winner saves.
"""

import re
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from horses.accounts.services.people import person_edit
from horses.models import HistoryLine, Horse, PlanItem, Visit
from horses.services.horses import horse_edit
from tests import build
from tests.cast import Cast, join
from tests.horses.doors import Door, text_of
from tests.horses.views.conflict_table import IDS, PAGES, Page
from tests.stage import Stage

pytestmark = pytest.mark.django_db
CALM = "Yours is not saved yet and is kept below"


@pytest.fixture
def ready(stage: Stage, now: datetime, clock_stands: datetime) -> Stage:
    """With a second owner, who is not heard of otherwise."""
    return stage


def _second(stage: Stage, page: Page, now: datetime) -> None:
    if page.winner == "Sten Stranger":
        role = "vet" if page.loser == "vet" else "owner"
        join(stage.cast.concern, stage.cast.stranger, role, now)  # type: ignore[arg-type]


def _open(stage: Stage, page: Page) -> tuple[Door, dict[str, str]]:
    """The form as the loser's screen holds it, with what they typed."""
    door = Door(stage.person(page.loser), stage.cast.concern)
    shown = text_of(door.get(page.url, *page.ids(stage)))
    return door, {**hidden_fields(shown), **page.typed}


def hidden_fields(page: str) -> dict[str, str]:
    """What the page's hidden fields carry, our own and not the check against forgery."""
    fields = {}
    for tag in re.findall(r'<input type="hidden"[^>]*>', page):
        name = re.search(r'name="([^"]+)"', tag)
        value = re.search(r'value="([^"]*)"', tag)
        if name and name[1] != "csrfmiddlewaretoken":
            fields[name[1]] = value[1] if value else ""
    return fields


def send(door: Door, url: str, *ids: str, fields: dict[str, str]) -> Any:
    """Like Door.post, for fields of any name."""
    return door.client.post(door.address(url, *ids), fields)


def _lose(stage: Stage, page: Page, now: datetime) -> tuple[Door, Any]:
    _second(stage, page, now)
    door, fields = _open(stage, page)
    page.wins(stage, now)
    return door, send(door, page.url, *page.ids(stage), fields=fields)


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_the_second_one_sees_both_texts_by_whom_and_when(
    page: Page, ready: Stage, now: datetime
) -> None:
    _, answer = _lose(ready, page, now)
    shown = text_of(answer)
    assert answer.status_code == 409
    assert "Changed by someone else meanwhile" in shown
    assert page.winner in shown
    assert "2 Nov 2026, " in shown
    assert page.theirs in shown
    for words in page.typed.values():
        if " " in words:
            assert words in shown, words
    assert (CALM in shown) is page.again


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_the_first_one_stands_and_nothing_is_written_of_the_second(
    page: Page, ready: Stage, now: datetime
) -> None:
    _lose(ready, page, now)
    loser = ready.person(page.loser)
    assert not HistoryLine.objects.filter(actor=loser, at=now).exists()


@pytest.mark.parametrize("page", [p for p in PAGES if p.again], ids=lambda p: p.name)
def test_saving_once_more_is_done_on_purpose(page: Page, ready: Stage, now: datetime) -> None:
    door, answer = _lose(ready, page, now)
    again = {**hidden_fields(text_of(answer)), **page.typed}
    assert send(door, page.url, *page.ids(ready), fields=again).status_code == 302


@pytest.mark.parametrize("page", PAGES, ids=IDS)
def test_the_same_form_sent_twice_is_saved_once_and_no_conflict(
    page: Page, ready: Stage, now: datetime
) -> None:
    door, fields = _open(ready, page)
    for _ in range(2):
        assert send(door, page.url, *page.ids(ready), fields=fields).status_code == 302
    done = HistoryLine.objects.filter(actor=ready.person(page.loser), at=now)
    lines = list(done.values_list("verb", "subject"))  # a pause calls off each visit, once
    assert len(lines) == len(set(lines))


def test_a_form_without_its_version_is_shown_both_texts(ready: Stage) -> None:
    door = Door(ready.cast.owner, ready.cast.concern)
    answer = door.post("visit_cancel", ready.planned.public_id, reason="Away")
    assert answer.status_code == 409
    assert Visit.objects.get(pk=ready.planned.pk).status == "planned"


def test_a_version_seen_of_another_visit_does_not_fit(ready: Stage, now: datetime) -> None:
    """The visit was kept and the next one planned while the form lay open."""
    door = Door(ready.cast.owner, ready.cast.concern)
    fields = hidden_fields(text_of(door.get("visit_plan")))
    build.visit(
        ready.access("farrier"),
        now,
        now.date(),
        planned_id=ready.planned.public_id,
        next_on=now.date() + timedelta(days=42),
    )
    answer = door.post("visit_plan", quick="day", on="2026-11-20", words="Sooner", **fields)
    assert answer.status_code == 409
    planned = Visit.objects.get(status="planned", kind=Visit.Kind.FARRIER)
    assert planned.planned_on == now.date() + timedelta(days=42)


def test_two_devices_of_one_person_do_not_undo_each_other(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.vet)
    shown = client.get(reverse("me")).content.decode()
    fields = {
        **hidden_fields(shown),
        "name": "Vera Vet",
        "length_unit": "cm",
        "weight_unit": "kg",
        "side_words": "near_off",
        "paper": "a4",
        "wants_mail": "on",
        "phone": "0100 200 302",
    }
    person_edit(person=cast.vet, fields={"length_unit": "in"})
    answer = client.post(reverse("me"), fields)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "inches" in page
    assert "centimetres" in page
    cast.vet.refresh_from_db()
    assert (cast.vet.length_unit, cast.vet.side_words) == ("in", "left_right")
    again = client.post(reverse("me"), {**fields, **hidden_fields(page)})
    assert again.status_code == 302
    cast.vet.refresh_from_db()
    assert (cast.vet.length_unit, cast.vet.side_words) == ("cm", "near_off")


def test_a_name_from_a_board_one_is_not_on_is_not_told(ready: Stage, now: datetime) -> None:
    """The horse was edited through another board: that it was is said, by whom is not."""
    cast = ready.cast
    join(cast.concern, cast.stranger, "owner", now)  # type: ignore[arg-type]
    door = Door(cast.stranger, cast.concern)
    fields = hidden_fields(text_of(door.get("horse_edit")))
    horse_edit(access=cast.access(cast.owner), version=1, fields={"yard": "Lower"}, now=now)
    fields |= {"name": "Juniper", "interval_weeks": "7", "yard": "Upper"}
    answer = send(door, "horse_edit", fields=fields)
    assert answer.status_code == 409
    assert "Ola Owner" not in text_of(answer)
    assert Horse.objects.get(pk=cast.horse.pk).yard == "Lower"


def test_an_item_that_has_ended_stays_as_it_ended(ready: Stage, now: datetime) -> None:
    page = PAGES[IDS.index("finish an item that was withdrawn")]
    _lose(ready, page, now)
    assert PlanItem.objects.get(pk=ready.item.pk).status == "withdrawn"
