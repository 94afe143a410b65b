"""Who is told what: decided in one function, written with the event, sent after the commit."""

from collections.abc import Callable, Container, Iterator, Sequence
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F, QuerySet, Value
from django.db.models.functions import Concat
from django.http import Http404
from django.urls import reverse

from caseboard.lib.best_effort import best_effort
from caseboard.lib.prepared import Prepared
from horses.jobs.outbox import NOTICES, URGENT, NewJob, enqueue, enqueue_new
from horses.models import Case, CaseMute, Membership, Notice, Person
from horses.notices.preferences import MailWay, next_digest, quiet_until, way_to_mail

# The words of a notice: for everybody the same, or made for the one who reads them.
Words = str | Callable[[Person], str]


def recipients(
    case: Case, *, audience: str, actor: Person | None, stand_ins: bool = True
) -> list[Person]:
    """Everybody on the team whose role is in the audience, except the one who did it; without the
    stand-ins where they are asked only later."""
    members = Membership.objects.filter(case=case, left_at__isnull=True).select_related("person")
    return [
        m.person
        for m in members
        if f",{m.role}," in audience
        and m.person.is_active
        and m.person != actor
        and (stand_ins or not m.stand_in)
    ]


def notify(
    *,
    event: str,
    case: Case,
    verb: str,
    subject: Words,
    now: datetime,
    audience: str,
    actor: Person | None,
    body: Words = "",
    path: str = "",
    urgent: bool = False,
    stand_ins: bool = True,
    only: Container[int] | None = None,
) -> None:
    """Writes one notice a person and channel for an event; a second call for it adds nothing.
    `only`: none but these of the people who may hear it."""
    leads_to = path or reverse("board", args=[case.public_id])
    people = [
        person
        for person in recipients(case, audience=audience, actor=actor, stand_ins=stand_ins)
        if only is None or person.pk in only
    ]
    muted = set(
        CaseMute.objects.filter(case=case, person__in=people).values_list("person_id", flat=True)
    )
    rows: list[Notice] = []
    for person in people:
        shared: dict[str, Any] = {
            "event": event[:80],
            "person": person,
            "case": case,
            "verb": verb,
            "urgent": urgent,
            "subject": _words(subject, person)[:200],
            "body": _words(body, person),
            "path": leads_to,
            "audience": audience,
            "created_at": now,
        }
        way = way_to_mail(person, urgent=urgent, muted=person.pk in muted)
        rows += _of_each_channel(shared, way, now)
    _want_mail([row for row in _written(rows) if row.channel == Notice.Channel.MAIL], now)


def _of_each_channel(shared: dict[str, Any], way: MailWay, now: datetime) -> Iterator[Notice]:
    yield Notice(**shared, channel=Notice.Channel.APP, state=Notice.State.SENT, sent_at=now)
    if way is not MailWay.NOT:
        in_digest = way is MailWay.IN_DIGEST
        yield Notice(**shared, channel=Notice.Channel.MAIL, in_digest=in_digest)


def _words(words: Words, person: Person) -> str:
    return words if isinstance(words, str) else words(person)


def _written(rows: list[Notice]) -> list[Notice]:
    """Writes the notices of one event; those of them that were not there before.

    An event is told once as a rule, so all are written at once, and only where the database refuses
    is it asked which are there.
    """
    while rows:
        try:
            with transaction.atomic():
                return Notice.objects.bulk_create(rows)
        except IntegrityError:
            told = Notice.objects.filter(event=rows[0].event).values_list("person_id", "channel")
            there = set(told)
            left = [row for row in rows if (row.person_id, row.channel) not in there]
            if len(left) == len(rows):
                raise  # it refused something else
            rows = left
    return rows


def _want_mail(notices: Sequence[Notice], now: datetime) -> None:
    mails = []
    for notice in notices:
        if notice.in_digest:
            due = next_digest(notice.person, now)
            # A row a day: one does not put off another.
            key = f"{notice.person.public_id}:{due:%Y-%m-%d}"
            enqueue("notice.digest", key, now=now, due_at=due, rank=NOTICES)
        else:
            due = (None if notice.urgent else quiet_until(notice.person, now)) or now
            mails.append(NewJob(notice.public_id, due, URGENT if notice.urgent else NOTICES))
    enqueue_new("notice.mail", mails, now=now)


def notices_for(person: Person) -> Any:
    """The person's list in the app, without what they may no longer see."""
    return _listed(person.pk).select_related("case__horse")


def _listed(person: int) -> QuerySet[Notice]:
    rows = Notice.objects.filter(
        person=person,
        channel=Notice.Channel.APP,
        case__memberships__person=person,
        case__memberships__left_at__isnull=True,
        # Somebody who came back in another role does not read what their former role was told.
        audience__contains=Concat(Value(","), F("case__memberships__role"), Value(",")),
    )
    return rows.distinct()


# Every page says how many there are.
_UNREAD = Prepared(lambda person: _listed(person).filter(read_at__isnull=True).only("pk"))


def unread_count(person: Person) -> int:
    return _UNREAD.count(person=person.pk)


def notice_open(*, person: Person, notice_id: str, now: datetime) -> str:
    """Marks one notice as read and says where it leads; Http404 for one the person may not see."""
    notice = notices_for(person).filter(public_id=notice_id).first()
    if notice is None:
        raise Http404("no such notice")
    if notice.read_at is None:
        unread = Notice.objects.filter(pk=notice.pk, read_at__isnull=True)
        best_effort("notice.read", lambda: unread.update(read_at=now), otherwise=0)
    return str(notice.path)


@transaction.atomic
def notices_mark_read(*, person: Person, now: datetime) -> int:
    return Notice.objects.filter(
        person=person, channel=Notice.Channel.APP, read_at__isnull=True
    ).update(read_at=now)


def muted_by(person: Person) -> list[str]:
    """The public ids of the cases that this person wants no mail about."""
    return list(CaseMute.objects.filter(person=person).values_list("case__public_id", flat=True))
