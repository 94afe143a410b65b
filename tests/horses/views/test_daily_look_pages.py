"""The daily look on its screen: what is marked, what is said of it, and who sees what."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from horses.models import Case, Look, Membership, Person, Role
from horses.services.horses import horse_create
from horses.services.looks import look_mark
from tests import build
from tests.cast import Cast, join
from tests.horses.doors import text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
LOOK = "/look/"


def new_horse(cast: Cast, name: str, at: datetime, **fields: Any) -> Case:
    horse = horse_create(person=cast.owner, fields={"name": name, **fields}, now=at)
    return Case.objects.get(horse=horse)


def client_of(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def screen(person: Person, **query: str) -> str:
    return text_of(client_of(person).get(LOOK, query))


def press(person: Person, **fields: Any) -> str:
    return text_of(client_of(person).post(LOOK, fields, follow=True))


def test_all_horses_of_the_place_stand_there_with_both_ways(cast: Cast, now: datetime) -> None:
    new_horse(cast, "Acorn", now)
    page = screen(cast.owner)
    assert "Acorn" in page
    assert "Juniper" in page
    assert "Bramble" not in page
    assert f'href="/cases/{cast.case.public_id}/flags/new/"' in page
    assert "All 2: nothing seen" in page


def test_one_press_marks_all_and_says_that_it_was_one(cast: Cast, now: datetime) -> None:
    acorn = new_horse(cast, "Acorn", now)
    page = press(cast.owner, together="yes", **{"with": [cast.case.public_id, acorn.public_id]})
    assert "2 marked together: looked at, nothing seen. Undo until 9:10." in page
    assert "9:00, you: 2 marked together" in page
    assert "all is well" not in page.lower()
    assert Look.objects.count() == 2


def test_one_horse_marked_alone_leaves_the_others(cast: Cast, now: datetime) -> None:
    new_horse(cast, "Acorn", now)
    page = press(cast.owner, one=cast.case.public_id)
    assert "Juniper: looked at, nothing seen. Undo until 9:10." in page
    assert "The other 1: nothing seen" in page
    assert Look.objects.get().together == 1


def test_the_others_read_who_looked(cast: Cast, now: datetime) -> None:
    look_mark(access=cast.access(cast.carer), now=now - timedelta(days=1))
    assert "yesterday, Cara Carer" in screen(cast.owner)


def test_it_is_taken_back_from_the_screen(cast: Cast, now: datetime) -> None:
    look = look_mark(access=cast.access(cast.carer), now=now)
    assert ">Undo<" in screen(cast.carer)
    assert ">Undo<" not in screen(cast.owner)
    assert "Taken back: 1 horse." in press(cast.carer, undo=look.press)
    assert "no look yet" in screen(cast.owner)


def test_what_is_ten_minutes_old_offers_no_way_back(cast: Cast, now: datetime) -> None:
    look = look_mark(access=cast.access(cast.carer), now=now - timedelta(minutes=11))
    assert ">Undo<" not in screen(cast.carer)
    assert "more than ten minutes ago" in press(cast.carer, undo=look.press)
    assert Look.objects.standing().exists()


def test_a_horse_with_an_open_flag_leads_to_it(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner), now)
    page = screen(cast.carer)
    assert f'href="/cases/{cast.case.public_id}/flags/{flag.public_id}/"' in page
    assert 'name="one"' not in page
    assert 'name="together"' not in page


def test_a_flag_of_a_board_that_one_is_not_on_does_not_show(cast: Cast, now: datetime) -> None:
    Membership.objects.filter(case=cast.concern, person=cast.carer).delete()
    build.flag(cast.access(cast.owner, cast.concern), now)
    assert "Open flag" not in screen(cast.carer)


def test_a_flag_raised_meanwhile_leaves_its_horse_out(cast: Cast, now: datetime) -> None:
    acorn = new_horse(cast, "Acorn", now)
    build.flag(cast.access(cast.owner), now)
    page = press(cast.owner, together="yes", **{"with": [cast.case.public_id, acorn.public_id]})
    assert "Acorn: looked at, nothing seen." in page
    assert "1 horse left out" in page


@pytest.mark.parametrize("who", ["stranger", "other_owner", "removed", "staff"])
def test_somebody_else_marks_nothing(cast: Cast, who: str) -> None:
    person = cast.everyone[who]
    assert client_of(person).post(LOOK, {"one": cast.case.public_id}).status_code == 404
    press(person, together="yes", **{"with": [cast.case.public_id, cast.concern.public_id]})
    assert not Look.objects.exists()
    assert "Juniper" not in screen(person)


def test_nothing_named_is_answered_in_words(cast: Cast) -> None:
    assert "No horse was named." in press(cast.owner)


def test_a_key_that_is_too_long_counts_as_none(cast: Cast) -> None:
    press(cast.owner, one=cast.case.public_id, client_key="x" * 500)
    assert Look.objects.count() == 1


def test_going_back_and_pressing_another_horse_marks_that_too(cast: Cast, now: datetime) -> None:
    acorn = new_horse(cast, "Acorn", now)
    for case in (cast.case, acorn, acorn):
        press(cast.owner, one=case.public_id, client_key="one screen")
    assert Look.objects.count() == 2


def test_once_all_are_marked_the_evening_marks_them_again(cast: Cast, now: datetime) -> None:
    look_mark(access=cast.access(cast.carer), now=now - timedelta(hours=2))
    assert "Again, 1: nothing seen" in screen(cast.owner)


def test_horses_of_another_place_have_a_screen_of_their_own(cast: Cast, now: datetime) -> None:
    new_horse(cast, "Acorn", now, yard="Far  Field")
    new_horse(cast, "Clover", now, yard="far field")
    page = screen(cast.owner)
    assert "Acorn" in page
    assert "Clover" in page
    assert "Juniper" not in page
    assert "Juniper" in screen(cast.owner, place="")


def test_the_list_of_horses_says_how_many_were_looked_at(cast: Cast, now: datetime) -> None:
    new_horse(cast, "Acorn", now)
    look_mark(access=cast.access(cast.carer), now=now)
    assert "Daily look: 1 of 2" in text_of(client_of(cast.owner).get("/horses/"))


def test_the_board_says_who_looked_last_until_something_is_wrong(cast: Cast, now: datetime) -> None:
    look_mark(access=cast.access(cast.carer), now=now)
    board = f"/cases/{cast.case.public_id}/"
    assert "Looked at 9:00, Cara Carer" in text_of(client_of(cast.owner).get(board))
    build.flag(cast.access(cast.owner), now)
    assert "Looked at" not in text_of(client_of(cast.owner).get(board))


def test_looks_do_not_fill_the_history(cast: Cast, now: datetime) -> None:
    for days in range(12):
        look_mark(access=cast.access(cast.carer), now=now - timedelta(days=days))
    client, base = client_of(cast.owner), f"/cases/{cast.case.public_id}/"
    assert "saw nothing" not in text_of(client.get(base))
    assert "saw nothing" not in text_of(client.get(base + "history/"))
    assert "saw nothing" in text_of(client.get(base + "history/", {"kind": "looks"}))


def test_the_screen_asks_the_same_for_any_number_of_horses(cast: Cast, now: datetime) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as asked:
            screen(cast.farrier)
        return len(asked)

    few = queries()
    for number in range(8):
        case = new_horse(cast, f"Horse {number}", now)
        join(case, cast.farrier, Role.FARRIER, now)
        look_mark(access=cast.access(cast.owner, case), now=now)
        build.flag(cast.access(cast.owner, case), now)
    assert queries() == few
