"""Who is told what: decided in one function, written with the event, sent after the commit."""

import logging
import smtplib
from datetime import datetime, timedelta
from email.utils import make_msgid
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import F, Value
from django.db.models.functions import Concat
from django.urls import reverse

from horses.access import standing_on
from horses.models import Case, Horse, Membership, Notice, Person
from horses.work import Later, work_handler, work_want

logger = logging.getLogger("horses.notices")

GIVE_UP_AFTER = timedelta(days=3)  # house default: older news helps nobody


def hearers(case: Case, *, audience: str, actor: Person | None) -> list[Person]:
    """Everybody on the team whose role is in the audience, except the one who did it."""
    members = Membership.objects.filter(case=case, left_at__isnull=True).select_related("person")
    return [
        m.person
        for m in members
        if f",{m.role}," in audience and m.person.is_active and m.person != actor
    ]


def notice_event(
    *,
    event: str,
    case: Case,
    verb: str,
    subject: str,
    now: datetime,
    audience: str,
    actor: Person | None,
    body: str = "",
    path: str = "",
    urgent: bool = False,
) -> None:
    """Writes one notice a person and channel for an event; a second call for it adds nothing."""
    leads_to = path or reverse("board", args=[case.public_id])
    for person in hearers(case, audience=audience, actor=actor):
        shared: dict[str, Any] = {
            "case": case,
            "verb": verb,
            "urgent": urgent,
            "subject": subject[:200],
            "body": body,
            "path": leads_to,
            "audience": audience,
            "created_at": now,
        }
        _write(event, person, Notice.Channel.APP, {**shared, "state": "sent", "sent_at": now})
        if person.wants_mail or urgent:
            row, new = _write(event, person, Notice.Channel.MAIL, shared)
            if new:
                work_want("notice.mail", row.public_id, now=now)


def _write(event: str, person: Person, channel: str, fields: dict[str, Any]) -> tuple[Notice, bool]:
    return Notice.objects.get_or_create(
        event=event[:80], person=person, channel=channel, defaults=fields
    )


def may_still_see(notice: Notice) -> bool:
    """Asked again at the moment of sending: people are removed while mail waits."""
    standing = standing_on(notice.person, notice.case)
    return standing is not None and f",{standing.role}," in notice.audience


@work_handler("notice.mail")
def notice_mail(key: str, now: datetime) -> None:
    """Sends one mail. The same notice always has the same Message-ID, so that a mail sent twice
    by a worker that died in between can be recognised as one."""
    notice = Notice.objects.select_related("person", "case__horse").get(public_id=key)
    if notice.state != Notice.State.PENDING:
        return
    if not may_still_see(notice):
        _settle(notice, Notice.State.DROPPED, now, "no longer on the team")
        return
    if notice.verb == "alert.raised" and notice.case.horse.state != Horse.State.ACTIVE:
        _settle(notice, Notice.State.DROPPED, now, "the horse's care is paused or has ended")
        return
    try:
        notice_message(notice).send()
    except smtplib.SMTPRecipientsRefused:
        _settle(notice, Notice.State.FAILED, now, "the address was refused")
    except (smtplib.SMTPException, OSError) as error:
        # An outage of hours loses nothing: only what is days old is given up, and said so.
        if now - notice.created_at > GIVE_UP_AFTER:
            _settle(notice, Notice.State.FAILED, now, type(error).__name__)
            return
        raise Later(type(error).__name__) from None
    else:
        _settle(notice, Notice.State.SENT, now)


def notice_message(notice: Notice) -> EmailMessage:
    domain = settings.SITE_URL.split("//")[-1].split(":")[0]
    lines = [notice.subject, "", *([notice.body, ""] if notice.body else [])]
    lines += [f"{settings.SITE_URL}{notice.path}", ""]
    lines += [
        "This mail does not replace a phone call. If a horse needs help now, phone your vet.",
        f"You get it because you are on the team of {notice.case.horse.name}. "
        f"Change what you get: {settings.SITE_URL}{reverse('me')}",
    ]
    one_line = " ".join(notice.subject.split())
    return EmailMessage(
        subject=("Urgent: " if notice.urgent else "") + one_line,
        body="\n".join(lines),
        to=[notice.person.email],
        headers={"Message-ID": make_msgid_for(notice.public_id, domain)},
    )


def make_msgid_for(public_id: str, domain: str) -> str:
    random_part = make_msgid(domain=domain)  # for its checked domain form only
    return f"<notice.{public_id}@{random_part.rsplit('@', 1)[1]}"


@transaction.atomic
def _settle(notice: Notice, state: str, now: datetime, trouble: str = "") -> None:
    Notice.objects.filter(pk=notice.pk, state=Notice.State.PENDING).update(
        state=state, sent_at=now if state == Notice.State.SENT else None, trouble=trouble
    )


def notices_for(person: Person) -> Any:
    """The person's list in the app, without what they may no longer see."""
    rows = Notice.objects.filter(
        person=person,
        channel=Notice.Channel.APP,
        case__memberships__person=person,
        case__memberships__left_at__isnull=True,
        # Somebody who came back in another role does not read what their former role was told.
        audience__contains=Concat(Value(","), F("case__memberships__role"), Value(",")),
    )
    return rows.select_related("case__horse").distinct()


def unread_count(person: Person) -> int:
    return int(notices_for(person).filter(read_at__isnull=True).count())


@transaction.atomic
def notices_mark_read(*, person: Person, now: datetime) -> int:
    return Notice.objects.filter(
        person=person, channel=Notice.Channel.APP, read_at__isnull=True
    ).update(read_at=now)
