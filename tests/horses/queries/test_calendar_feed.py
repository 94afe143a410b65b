"""The private calendar: what it holds, what it keeps to itself, and when it opens nothing."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from icalendar import Calendar

from horses.models import CalendarFeed, Membership, Person
from horses.services.feeds import feed_make, feed_revoke, feed_token
from horses.services.visit_planning import visit_cancel, visit_confirm, visit_plan
from horses.views.feed import READS_AN_HOUR
from tests import build
from tests.cast import Cast

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
SECRET = "canary-words-7"


def path_of(person: Person, now: datetime) -> str:
    return reverse(
        "calendar_feed", args=[feed_token(feed_make(person=person, fresh=True, now=now).public_id)]
    )


def events(path: str) -> list[Any]:
    answer = Client().get(path)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    calendar = Calendar.from_ical(answer.content)
    assert (calendar["version"], bool(calendar["prodid"])) == ("2.0", True)
    assert not calendar.errors
    found = calendar.walk("VEVENT")
    assert not any(event.errors for event in found)
    return found


def plan(cast: Cast, days: int, now: datetime, **more: Any) -> Any:
    by = more.pop("by", cast.farrier)
    return visit_plan(access=cast.access(by), on=now.date() + timedelta(days=days), now=now, **more)


def test_a_visit_is_a_whole_day_with_a_stamp_and_a_link(cast: Cast, now: datetime) -> None:
    visit = plan(cast, 9, now)
    (event,) = events(path_of(cast.farrier, now))
    assert event["uid"] == f"visit-{visit.public_id}@visits.hoof-case-board"
    assert (event.start, event.end) == (date(2026, 11, 11), date(2026, 11, 12))
    assert event["dtstamp"].dt == now
    assert event["summary"] == "Farrier: Juniper"
    assert (event["status"], event["sequence"]) == ("TENTATIVE", 0)
    assert f"/cases/{cast.case.public_id}/" in event["url"]


def test_a_move_a_confirmation_and_a_cancellation_keep_the_uid_and_count_up(
    cast: Cast, now: datetime
) -> None:
    path = path_of(cast.farrier, now)
    visit = plan(cast, 9, now)
    (first,) = events(path)
    plan(cast, 12, now + timedelta(hours=1))
    (moved,) = events(path)
    assert moved["uid"] == first["uid"]
    assert moved.start == date(2026, 11, 14)
    assert moved["dtstamp"].dt > first["dtstamp"].dt
    visit_confirm(access=cast.access(cast.owner), public_id=visit.public_id, now=now)
    (confirmed,) = events(path)
    assert confirmed["status"] == "CONFIRMED"
    visit_cancel(access=cast.access(cast.owner), public_id=visit.public_id, reason=SECRET, now=now)
    (cancelled,) = events(path)
    assert (cancelled["uid"], cancelled["status"]) == (first["uid"], "CANCELLED")
    counts = [event["sequence"] for event in (first, moved, confirmed, cancelled)]
    assert counts == [0, 2, 3, 5]


def test_a_kept_visit_stands_on_the_day_it_was_kept(cast: Cast, now: datetime) -> None:
    visit = plan(cast, 2, now)
    later = now + timedelta(days=3)
    build.visit(cast.access(cast.farrier), later, later.date(), planned_id=visit.public_id)
    (event,) = events(path_of(cast.farrier, now))
    assert (event.start, event["status"]) == (later.date(), "CONFIRMED")


def test_a_time_is_that_of_the_place_whatever_zone_is_set_later(
    cast: Cast, now: datetime, settings: Any
) -> None:
    settings.TIME_ZONE = "Europe/Paris"
    visit = plan(cast, 9, now, at=time(9, 30))
    settings.TIME_ZONE = "America/Chicago"
    (event,) = events(path_of(cast.farrier, now))
    assert event.start == datetime(2026, 11, 11, 8, 30, tzinfo=UTC)
    assert event.end - event.start == timedelta(hours=1)
    visit.planned_zone = "Nowhere/At_all"
    visit.save()
    (event,) = events(path_of(cast.farrier, now))
    assert event.start == date(2026, 11, 11)


def test_the_place_stands_there_only_where_its_reader_switched_that_on(
    cast: Cast, now: datetime
) -> None:
    cast.horse.yard = "Far Field"
    cast.horse.save()
    plan(cast, 9, now)
    path, other = path_of(cast.farrier, now), path_of(cast.owner, now)
    client = Client()
    client.force_login(cast.farrier)
    client.post("/me/calendar/", {"act": "place"})
    (event,) = events(path)
    assert event["location"] == "Far Field"
    assert "location" not in events(other)[0]
    client.post("/me/calendar/", {"act": "no-place"})
    assert "location" not in events(path)[0]


def test_what_has_not_changed_is_not_sent_again(cast: Cast, now: datetime) -> None:
    plan(cast, 9, now)
    path = path_of(cast.farrier, now)
    tag = Client().get(path)["ETag"]
    again = Client().get(path, headers={"if-none-match": tag})
    assert (again.status_code, again.content) == (304, b"")
    plan(cast, 12, now)
    assert Client().get(path, headers={"if-none-match": tag}).status_code == 200


def test_nobodys_words_place_or_phone_is_in_it(cast: Cast, now: datetime) -> None:
    cast.horse.yard = cast.horse.handling = cast.horse.held_by = cast.horse.danger = SECRET
    cast.horse.save()
    plan(cast, 9, now, words=SECRET)
    plan(cast, 5, now, by=cast.owner, kind="vet", words=SECRET)
    for who in (cast.owner, cast.farrier, cast.vet, cast.carer):
        text = Client().get(path_of(who, now)).content.decode()
        assert SECRET not in text
        assert "0100" not in text


@pytest.mark.parametrize(
    ("who", "kinds"),
    [
        ("owner", {"Farrier: Juniper", "Vet visit: Juniper"}),
        ("carer", {"Farrier: Juniper", "Vet visit: Juniper"}),
        ("farrier", {"Farrier: Juniper"}),
        ("vet", {"Vet visit: Juniper"}),
        ("stand_in", set()),
        ("removed", set()),
        ("other_owner", set()),
        ("stranger", set()),
    ],
)
def test_each_role_gets_its_own_days(cast: Cast, now: datetime, who: str, kinds: set[str]) -> None:
    plan(cast, 9, now)
    plan(cast, 5, now, by=cast.owner, kind="vet")
    assert {str(e["summary"]) for e in events(path_of(cast.everyone[who], now))} == kinds


def test_a_day_given_to_the_stand_in_is_in_the_stand_ins_calendar(
    cast: Cast, now: datetime
) -> None:
    member = cast.case.memberships.get(person=cast.stand_in)
    plan(cast, 9, now, by=cast.owner, member_id=member.public_id)
    assert len(events(path_of(cast.stand_in, now))) == 1
    assert events(path_of(cast.farrier, now)) == []


def test_a_horse_on_two_boards_is_one_event(cast: Cast, now: datetime) -> None:
    plan(cast, 9, now)
    assert len(events(path_of(cast.owner, now))) == 1


def test_leaving_the_team_ends_it_at_the_next_reading(cast: Cast, now: datetime) -> None:
    path = path_of(cast.farrier, now)
    plan(cast, 9, now)
    assert len(events(path)) == 1
    Membership.objects.filter(person=cast.farrier, left_at=None).update(left_at=now)
    assert events(path) == []


def test_a_revoked_a_replaced_and_an_inactive_persons_address_open_nothing(
    cast: Cast, now: datetime
) -> None:
    first = path_of(cast.owner, now)
    second = path_of(cast.owner, now)
    assert first != second
    assert Client().get(first).status_code == 404
    assert Client().get(second).status_code == 200
    feed_revoke(person=cast.owner, now=now)
    assert Client().get(second).status_code == 404
    third = path_of(cast.owner, now)
    Person.objects.filter(pk=cast.owner.pk).update(is_active=False)
    assert Client().get(third).status_code == 404


def test_the_database_alone_opens_nothing(cast: Cast, now: datetime) -> None:
    token = path_of(cast.owner, now).split("/")[-1].removesuffix(".ics")
    row = CalendarFeed.objects.values().get()
    assert token not in str(row)
    assert len(token) == 64


def test_reading_without_end_is_stopped(cast: Cast, now: datetime) -> None:
    path, client = path_of(cast.owner, now), Client()
    for _ in range(READS_AN_HOUR):
        assert client.get(path).status_code == 200
    answer = client.get(path)
    assert (answer.status_code, "Retry-After" in answer) == (429, True)


def test_the_page_makes_shows_and_takes_back_the_address(cast: Cast, now: datetime) -> None:
    client = Client()
    client.force_login(cast.owner)
    client.post(reverse("my_calendar"), {"act": "new"})
    page = client.get(reverse("my_calendar")).content.decode()
    assert feed_token(CalendarFeed.objects.get().public_id) in page
    client.post(reverse("my_calendar"), {"act": "revoke"})
    assert "No address yet" in client.get(reverse("my_calendar")).content.decode()
