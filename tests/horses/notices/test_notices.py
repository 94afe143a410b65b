"""Telling people: once an event, person and channel; not the actor; not who may not see it."""

from collections import Counter
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.core import mail

from horses.models import Horse, Job, Membership, Notice, Person, Role
from horses.notices.create import (
    notices_for,
    notices_mark_read,
    notify,
    recipients,
    unread_count,
)
from horses.notices.messages import notice_message
from horses.notices.send import may_still_see, notice_mail
from horses.services.team import member_remove
from tests import build
from tests.cast import Cast, join

pytestmark = pytest.mark.django_db
Drain = Callable[..., int]
ALL = ",owner,farrier,vet,carer,"


@pytest.fixture
def cast(cast: Cast) -> Cast:
    """Without what was told while the cast came together."""
    Notice.objects.all().delete()
    Job.objects.all().delete()
    return cast


def _tell(cast: Cast, now: datetime, **more: object) -> None:
    fields = {"event": "e:1", "audience": ALL, "actor": cast.owner, "body": "Words.", **more}
    notify(case=cast.case, verb="note.written", subject="Juniper: news", now=now, **fields)  # type: ignore[arg-type]


def recipients_of(cast: Cast) -> list[Person]:
    return recipients(cast.case, audience=ALL, actor=cast.owner)


def _remove(cast: Cast, who: Person, now: datetime) -> None:
    member = Membership.objects.get(case=cast.case, person=who, left_at=None)
    member_remove(access=cast.access(cast.owner), membership_id=member.public_id, now=now)


def _mails_to(person: Person) -> list[mail.EmailMessage]:
    return [sent for sent in mail.outbox if sent.to == [person.email]]


def test_each_of_the_others_gets_one_in_the_app_and_one_by_mail(cast: Cast, now: datetime) -> None:
    _tell(cast, now)
    got = Counter(Notice.objects.values_list("person", "channel"))
    others = (cast.vet, cast.farrier, cast.stand_in, cast.carer)
    assert got == Counter((p.pk, channel) for p in others for channel in ("app", "mail"))


def test_the_same_event_told_again_adds_nothing(cast: Cast, now: datetime, drain: Drain) -> None:
    for _ in range(3):
        _tell(cast, now)
    assert Notice.objects.count() == 8
    drain()
    assert len(mail.outbox) == 4
    _tell(cast, now)
    drain()
    assert len(mail.outbox) == 4


def test_told_again_an_event_reaches_only_who_has_come_meanwhile(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    _tell(cast, now)
    join(cast.case, cast.stranger, Role.CARER, now)
    _tell(cast, now)
    drain()
    assert Notice.objects.count() == 10
    to = [sent.to[0] for sent in mail.outbox]
    assert Counter(to) == Counter({p.email: 1 for p in recipients_of(cast)})


def test_the_actor_hears_nothing_of_their_own_act(cast: Cast, now: datetime, drain: Drain) -> None:
    build.flag(cast.access(cast.owner), now)
    drain()
    assert not Notice.objects.filter(person=cast.owner).exists()
    assert _mails_to(cast.owner) == []


@pytest.mark.parametrize("audience", [{"vet"}, {"vet", "farrier"}, {"owner", "vet"}])
def test_only_the_audience_hears_of_a_note(
    audience: set[str], cast: Cast, now: datetime, drain: Drain
) -> None:
    build.note(cast.access(cast.vet), now, "Between us.", audience)
    drain()
    heard = set(Notice.objects.values_list("person", flat=True))
    team = Membership.objects.filter(case=cast.case, left_at=None, role__in=audience)
    assert heard == set(team.values_list("person", flat=True)) - {cast.vet.pk}
    assert sum("Between us." in sent.body for sent in mail.outbox) == len(heard)


def test_who_left_the_team_or_was_never_on_it_hears_nothing(cast: Cast, now: datetime) -> None:
    people = recipients(cast.case, audience=ALL, actor=None)
    assert set(people) == {cast.owner, cast.vet, cast.farrier, cast.stand_in, cast.carer}


def test_somebody_whose_account_is_closed_hears_nothing(cast: Cast, now: datetime) -> None:
    Person.objects.filter(pk=cast.vet.pk).update(is_active=False)
    assert cast.vet not in recipients(cast.case, audience=ALL, actor=None)


def test_who_wants_no_mail_reads_it_in_the_app(cast: Cast, now: datetime, drain: Drain) -> None:
    Person.objects.filter(pk=cast.vet.pk).update(mail_when="urgent")
    build.flag(cast.access(cast.owner), now, "crack")
    drain()
    assert _mails_to(cast.vet) == []
    assert unread_count(cast.vet) == 1


def test_an_urgent_flag_is_mailed_even_to_who_wants_no_mail(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    Person.objects.filter(pk=cast.vet.pk).update(mail_when="urgent")
    build.flag(cast.access(cast.owner), now, "in_sole")
    drain()
    [sent] = _mails_to(cast.vet)
    assert sent.subject.startswith("Urgent: ")


def test_the_waiting_mail_of_a_removed_member_is_dropped(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    build.note(cast.access(cast.owner), now, "Still a secret.")
    _remove(cast, cast.vet, now)
    drain()
    assert _mails_to(cast.vet) == []
    row = Notice.objects.get(person=cast.vet, channel="mail", verb="note.written")
    assert (row.state, row.sent_at) == ("dropped", None)


def test_the_waiting_mail_of_who_has_another_role_by_now_is_dropped(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    build.note(cast.access(cast.farrier), now, "Between us.", {"vet", "farrier"})
    _remove(cast, cast.vet, now)
    join(cast.case, cast.vet, Role.CARER, now)
    drain()
    assert not any("Between us." in sent.body for sent in _mails_to(cast.vet))


@pytest.mark.parametrize(("verb", "state"), [("alert.raised", "dropped"), ("note.written", "sent")])
def test_what_the_numbers_said_of_a_horse_that_is_gone_is_not_mailed_any_more(
    verb: str, state: str, cast: Cast, now: datetime, drain: Drain
) -> None:
    _tell(cast, now)
    Notice.objects.update(verb=verb)
    Horse.objects.filter(pk=cast.horse.pk).update(state=Horse.State.ENDED)
    drain()
    assert set(Notice.objects.filter(channel="mail").values_list("state", flat=True)) == {state}


def test_who_was_removed_reads_nothing_more_in_the_app(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.owner), now, "A note.")
    assert unread_count(cast.vet) == 1
    _remove(cast, cast.vet, now)
    assert list(notices_for(cast.vet)) == []


def test_who_comes_back_in_another_role_does_not_read_what_the_former_was_told(
    cast: Cast, now: datetime
) -> None:
    build.note(cast.access(cast.farrier), now, "Between us.", {"vet", "farrier"})
    _remove(cast, cast.vet, now)
    join(cast.case, cast.vet, Role.OWNER, now)
    assert not any("Between us." in notice.body for notice in notices_for(cast.vet))
    notice = Notice.objects.filter(person=cast.vet, verb="note.written")[0]
    assert not may_still_see(notice)


def test_sent_again_after_a_crash_the_mail_has_the_same_message_id(
    cast: Cast, now: datetime
) -> None:
    _tell(cast, now)
    notice = Notice.objects.filter(person=cast.vet, channel="mail").get()
    notice_mail(notice.public_id, now)
    Notice.objects.filter(pk=notice.pk).update(state="pending")  # the worker died before it noted
    notice_mail(notice.public_id, now)
    first, second = _mails_to(cast.vet)
    assert first.extra_headers["Message-ID"] == second.extra_headers["Message-ID"]


def test_what_was_sent_is_not_sent_again(cast: Cast, now: datetime) -> None:
    _tell(cast, now)
    notice = Notice.objects.filter(person=cast.vet, channel="mail").get()
    for _ in range(2):
        notice_mail(notice.public_id, now)
    assert len(_mails_to(cast.vet)) == 1


def test_two_notices_never_share_a_message_id(cast: Cast, now: datetime) -> None:
    _tell(cast, now)
    ids = {
        notice_message(n).extra_headers["Message-ID"]
        for n in Notice.objects.filter(channel="mail").select_related("person", "case__horse")
    }
    assert len(ids) == 4


def test_the_mail_server_failing_loses_nothing(
    cast: Cast, now: datetime, drain: Drain, monkeypatch: pytest.MonkeyPatch
) -> None:
    _tell(cast, now)
    with monkeypatch.context() as patch:
        patch.setattr("django.core.mail.EmailMessage.send", _away)
        drain()
        assert Job.objects.filter(kind="notice.mail").count() == 4
    drain(now + timedelta(hours=1))
    assert len(mail.outbox) == 4
    assert not Job.objects.exists()


def _away(self: object) -> None:
    raise ConnectionRefusedError("away")


def test_a_subject_with_a_line_break_is_one_line_in_the_mail(cast: Cast, now: datetime) -> None:
    _tell(cast, now)
    notice = Notice.objects.filter(channel="mail")[0]
    notice.subject = "June\r\nBcc: all@example.test"
    assert "\n" not in notice_message(notice).message()["Subject"]


def test_reading_marks_ones_own_only(cast: Cast, now: datetime) -> None:
    _tell(cast, now)
    assert notices_mark_read(person=cast.vet, now=now) == 1
    assert (unread_count(cast.vet), unread_count(cast.farrier)) == (0, 1)
