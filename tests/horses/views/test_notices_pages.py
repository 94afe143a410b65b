"""What somebody was told: the list, what is new in it, and who may still read it."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from horses.models import Membership, Notice, Person
from horses.notices.create import notices_for, notify
from horses.views.notices import A_PAGE
from tests import build
from tests.cast import Cast
from tests.horses.doors import text_of

pytestmark = pytest.mark.usefixtures("clock_stands")


def as_(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def page_of(person: Person, **query: Any) -> str:
    return text_of(as_(person).get("/notices/", query))


def told_often(cast: Cast, now: datetime, count: int) -> None:
    for number in range(count):
        notify(
            event=f"made.up:{number}",
            case=cast.case,
            verb="made.up",
            actor=cast.owner,
            subject=f"Event number {number}.",
            audience=",owner,farrier,vet,carer,",
            now=now + timedelta(minutes=number),
        )


def test_a_notice_says_what_happened_and_leads_there(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now, "in_sole", words="Left in the field.")
    page = page_of(cast.vet)
    assert "Juniper: Ola Owner says something is not right" in page
    assert "Left in the field." in page
    assert ">Urgent<" in page
    assert ">New<" in page
    notice = notices_for(cast.vet).get(verb="flag.raised")
    assert f'href="/notices/{notice.public_id}/"' in page


def test_nobody_reads_of_their_own_acts_or_of_other_teams(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now)
    assert "something is not right" not in page_of(cast.owner)
    assert "something is not right" not in page_of(cast.other_vet)


def test_looking_marks_nothing_as_read(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now)
    assert page_of(cast.vet).count(">New<") == page_of(cast.vet).count(">New<") > 0


def test_the_button_marks_all_as_read(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now)
    client = as_(cast.vet)
    assert client.post("/notices/")["Location"] == "/notices/"
    page = text_of(client.get("/notices/"))
    assert "something is not right" in page
    assert ">New<" not in page
    assert "as read</button>" not in page
    assert Notice.objects.filter(person=cast.farrier, read_at=None).exists()  # theirs stay new


def test_the_head_of_the_page_counts_what_the_list_shows(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now)
    before = page_of(cast.carer)
    assert before.count(">New<") > 0
    assert f'<span class="count">{before.count(">New<")}<' in before
    Membership.objects.filter(person=cast.carer).update(left_at=now)
    assert '<span class="count">' not in page_of(cast.carer)


def test_whoever_left_reads_nothing_more(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now, words="Secret of the team.")
    Membership.objects.filter(person=cast.carer).update(left_at=now)
    assert "Secret of the team." not in page_of(cast.carer)


def test_whoever_came_back_in_another_role_does_not_read_the_former_roles(
    cast: Cast, now: datetime
) -> None:
    build.note(cast.access(cast.owner), now, "Between owner and vet.", audience={"owner", "vet"})
    assert "Between owner and vet." in page_of(cast.vet)
    Membership.objects.filter(case=cast.case, person=cast.vet).update(left_at=now)
    Membership.objects.create(case=cast.case, person=cast.vet, role="carer", joined_at=now)
    assert "Between owner and vet." not in page_of(cast.vet)


def test_a_long_list_comes_in_pages_newest_first(cast: Cast, now: datetime) -> None:
    told_often(cast, now, A_PAGE + 5)
    first, second = page_of(cast.vet), page_of(cast.vet, page=2)
    assert f"Event number {A_PAGE + 4}." in first
    assert "Event number 0." not in first
    assert "Event number 0." in second
    assert "Older" in first
    assert "Newer" in second


@pytest.mark.parametrize("page", ["0", "-1", "abc", "9" * 400, "\x00"])
def test_a_page_that_cannot_be_is_answered_all_the_same(cast: Cast, page: str) -> None:
    assert as_(cast.vet).get("/notices/", {"page": page}).status_code == 200


def test_a_long_list_costs_no_more_queries(cast: Cast, now: datetime) -> None:
    client = as_(cast.vet)

    def queries() -> int:
        with CaptureQueriesContext(connection) as captured:
            client.get("/notices/")
        return len(captured)

    told_often(cast, now, 3)
    few = queries()
    told_often(cast, now, A_PAGE)
    assert queries() == few


def test_an_empty_list_says_what_will_stand_there(cast: Cast) -> None:
    assert "Nothing yet" in page_of(cast.stranger)


def test_the_list_is_for_people_who_signed_in(db: None) -> None:
    assert Client().post("/notices/")["Location"] == "/accounts/login/code/?next=/notices/"


def test_it_is_read_and_marked_in_no_other_way(cast: Cast) -> None:
    assert as_(cast.vet).put("/notices/").status_code == 405


def test_opening_a_notice_marks_it_and_no_other_and_leads_to_it(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.farrier), now)
    build.note(cast.access(cast.farrier), now)
    client = Client()
    client.force_login(cast.owner)
    notice = notices_for(cast.owner).get(verb="flag.raised")
    response = client.get(reverse("notice", args=[notice.public_id]))
    assert response["Location"] == notice.path
    notice.refresh_from_db()
    assert notice.read_at is not None
    assert notices_for(cast.owner).get(verb="note.written").read_at is None


def test_a_notice_of_somebody_else_and_of_a_board_one_has_left_is_not_there(
    cast: Cast, now: datetime
) -> None:
    build.flag(cast.access(cast.farrier), now)
    notice = notices_for(cast.vet).get(verb="flag.raised")
    path = reverse("notice", args=[notice.public_id])
    client = Client()
    client.force_login(cast.owner)
    assert client.get(path).status_code == 404
    Membership.objects.filter(person=cast.vet).update(left_at=now)
    client.force_login(cast.vet)
    assert client.get(path).status_code == 404
