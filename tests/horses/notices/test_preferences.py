"""When people are mailed: at once, once a day, only what is urgent; muted boards, quiet hours."""

from collections.abc import Callable
from datetime import datetime, time, timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client

from horses.models import CaseMute, Digest, Job, Membership, Notice, Person
from horses.notices.create import unread_count
from horses.notices.messages import unsubscribe_address
from horses.notices.preferences import next_digest, quiet_until
from horses.notices.send import notice_digest
from horses.services.team import member_remove
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
Drain = Callable[..., int]
EVENING = timedelta(hours=9)  # the tests' morning is nine o'clock


@pytest.fixture
def cast(cast: Cast) -> Cast:
    Notice.objects.all().delete()
    Job.objects.all().delete()
    return cast


def choose(person: Person, **fields: Any) -> None:
    Person.objects.filter(pk=person.pk).update(**fields)
    person.refresh_from_db()


def mails_to(person: Person) -> list[mail.EmailMessage]:
    return [sent for sent in mail.outbox if sent.to == [person.email]]


def tell(cast: Cast, now: datetime, *words: str) -> None:
    for body in words:
        build.note(cast.access(cast.owner), now, body)


def test_a_days_things_come_as_one_mail_in_the_evening(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    choose(cast.vet, mail_when="daily")
    tell(cast, now, "First word.", "Second word.")
    drain(now + EVENING - timedelta(minutes=1))
    assert mails_to(cast.vet) == []
    drain(now + EVENING)
    [sent] = mails_to(cast.vet)
    assert sent.subject == "2 things about Juniper"
    assert "First word." in sent.body
    assert "Second word." in sent.body


def test_what_came_after_the_days_mail_comes_with_the_next(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    choose(cast.vet, mail_when="daily")
    tell(cast, now, "First word.")
    drain(now + EVENING)
    tell(cast, now + EVENING + timedelta(hours=1), "Second word.")
    drain(now + EVENING + timedelta(hours=2))
    assert len(mails_to(cast.vet)) == 1
    drain(now + EVENING + timedelta(days=1))
    assert "Second word." in mails_to(cast.vet)[1].body
    assert "First word." not in mails_to(cast.vet)[1].body


def test_what_is_urgent_does_not_wait_for_the_evening(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    choose(cast.vet, mail_when="daily", quiet_from=time(8), quiet_to=time(20))
    CaseMute.objects.create(person=cast.vet, case=cast.case, muted_at=now)
    build.flag(cast.access(cast.owner), now, "in_sole")
    drain()
    [sent] = mails_to(cast.vet)
    assert sent.subject.startswith("Urgent: ")
    assert "List-Unsubscribe" not in sent.extra_headers


def test_the_days_mail_holds_nothing_that_one_may_see_no_more(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    choose(cast.vet, mail_when="daily")
    tell(cast, now, "Still a secret.")
    member = Membership.objects.get(case=cast.case, person=cast.vet, left_at=None)
    member_remove(access=cast.access(cast.owner), membership_id=member.public_id, now=now)
    drain(now + EVENING)
    assert mails_to(cast.vet) == []
    assert set(Notice.objects.filter(person=cast.vet, channel="mail").values_list("state")) == {
        ("dropped",)
    }


def test_a_days_mail_sent_again_after_a_crash_is_the_same_mail(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(cast.vet, mail_when="daily")
    tell(cast, now, "First word.")
    with monkeypatch.context() as patch:  # the worker dies after the sending
        patch.setattr("horses.notices.send._settle", _dies)
        with pytest.raises(SystemExit):
            notice_digest(cast.vet.public_id, now + EVENING)
    tell(cast, now + EVENING, "Second word.")
    notice_digest(cast.vet.public_id, now + EVENING)
    first, second = mails_to(cast.vet)
    assert first.extra_headers["Message-ID"] == second.extra_headers["Message-ID"]
    assert first.body == second.body
    assert Digest.objects.get().settled_at is not None


def _dies(*_: object) -> None:
    raise SystemExit


def test_about_a_muted_board_nothing_is_mailed_but_everything_listed(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    CaseMute.objects.create(person=cast.vet, case=cast.case, muted_at=now)
    tell(cast, now, "A word.")
    drain()
    assert mails_to(cast.vet) == []
    assert unread_count(cast.vet) == 1


def test_muting_stops_the_mail_that_waits_already(cast: Cast, now: datetime, drain: Drain) -> None:
    tell(cast, now, "A word.")
    CaseMute.objects.create(person=cast.vet, case=cast.case, muted_at=now)
    drain()
    assert mails_to(cast.vet) == []


def test_in_quiet_hours_mail_waits_for_their_end(cast: Cast, now: datetime, drain: Drain) -> None:
    choose(cast.vet, quiet_from=time(8), quiet_to=time(10))
    tell(cast, now, "A word.")
    drain(now + timedelta(minutes=59))
    assert mails_to(cast.vet) == []
    drain(now + timedelta(minutes=60))
    assert len(mails_to(cast.vet)) == 1


def test_quiet_hours_chosen_while_mail_waits_hold_too(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    tell(cast, now, "A word.")
    choose(cast.vet, quiet_from=time(8), quiet_to=time(10))
    drain()
    work = Job.objects.get(kind="notice.mail")
    assert (work.due_at, work.attempts) == (now + timedelta(hours=1), 0)


def test_quiet_hours_chosen_while_a_days_mail_waits_hold_too(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    choose(cast.vet, mail_when="daily")
    tell(cast, now, "A word.")
    choose(cast.vet, quiet_from=time(17), quiet_to=time(19, 30))
    drain(now + EVENING)
    assert mails_to(cast.vet) == []
    drain(now.replace(hour=19, minute=30))
    assert len(mails_to(cast.vet)) == 1


@pytest.mark.parametrize(
    ("start", "end", "at", "until"),
    [
        ("22:00", "07:00", "21:59", None),
        ("22:00", "07:00", "22:00", "3T07:00"),
        ("22:00", "07:00", "03:00", "2T07:00"),
        ("22:00", "07:00", "07:00", None),
        ("12:00", "13:00", "12:30", "2T13:00"),
        ("12:00", "13:00", "13:00", None),
    ],
)
def test_quiet_hours_over_midnight_and_at_their_edges(
    start: str, end: str, at: str, until: str | None, now: datetime
) -> None:
    person = Person(quiet_from=time.fromisoformat(start), quiet_to=time.fromisoformat(end))
    asked = datetime.combine(now.date(), time.fromisoformat(at), tzinfo=now.tzinfo)
    expected = until and datetime.fromisoformat(f"2026-11-0{until}:00+00:00")
    assert quiet_until(person, asked) == expected


def test_a_days_mail_that_falls_into_quiet_hours_comes_after_them(now: datetime) -> None:
    person = Person(quiet_from=time(17), quiet_to=time(19, 30))
    assert next_digest(person, now) == now.replace(hour=19, minute=30)


# -- the page ---------------------------------------------------------------------------------
def vet(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.vet)
    return client


def test_everything_is_chosen_on_one_page(cast: Cast) -> None:
    answer = vet(cast).post(
        "/notices/choices/",
        {
            "mail_when": "daily",
            "quiet_from": "21:30",
            "quiet_to": "7",
            "muted": cast.case.public_id,
        },
    )
    assert answer.status_code == 302
    cast.vet.refresh_from_db()
    assert (cast.vet.mail_when, cast.vet.quiet_from, cast.vet.quiet_to) == (
        "daily",
        time(21, 30),
        time(7),
    )
    assert CaseMute.objects.get(person=cast.vet).case == cast.case
    page = vet(cast).get("/notices/choices/").content.decode()
    assert 'value="21:30"' in page
    vet(cast).post("/notices/choices/", {"mail_when": "daily"})
    assert not CaseMute.objects.exists()


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("quiet_to", "", "Give both times, or neither."),
        ("quiet_to", "21:30", "end when they begin"),
        ("quiet_from", "soon\x00", "not a time we can read"),
        ("mail_when", "never", "Please choose one of these."),
        ("muted", "another-board", "not a board of yours"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_saved(
    field: str, typed: str, says: str, cast: Cast
) -> None:
    given = {"mail_when": "daily", "quiet_from": "21:30", "quiet_to": "07:00", field: typed}
    answer = vet(cast).post("/notices/choices/", given)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    cast.vet.refresh_from_db()
    assert cast.vet.mail_when == "at_once"


def test_a_board_of_others_cannot_be_muted(cast: Cast) -> None:
    given = {"mail_when": "at_once", "muted": cast.other_case.public_id}
    assert vet(cast).post("/notices/choices/", given).status_code == 422


# -- the way out ------------------------------------------------------------------------------
def test_a_mail_that_is_not_urgent_carries_the_one_click_way_out(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    choose(cast.vet, mail_when="daily")
    tell(cast, now, "A word.")
    drain(now + EVENING)
    [sent] = mails_to(cast.vet)
    assert sent.extra_headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    address = sent.extra_headers["List-Unsubscribe"].strip("<>")
    answer = Client(enforce_csrf_checks=True).post(  # no cookie, no sign-in
        address, {"List-Unsubscribe": "One-Click"}
    )
    assert answer.status_code == 200
    cast.vet.refresh_from_db()
    assert cast.vet.mail_when == "urgent"


def test_looking_at_the_way_out_changes_nothing(cast: Cast) -> None:
    page = Client().get(unsubscribe_address(cast.vet)).content.decode()
    assert "Mail me only what is urgent" in page
    assert cast.vet.email not in page
    cast.vet.refresh_from_db()
    assert cast.vet.mail_when == "at_once"


@pytest.mark.parametrize("token", ["", "x", "x:y", "\x00"])
def test_an_address_we_did_not_make_does_nothing(token: str, cast: Cast) -> None:
    forged = token or cast.vet.public_id
    assert Client().post("/unsubscribe/?" + f"of={forged}").status_code == 422
    assert not Person.objects.filter(mail_when="urgent").exists()
