"""Sends notices. Who may see one and who wants it is checked again at that moment; failures are shown.

Decided 2026-11: what is in a daily mail is settled before it is sent, so that a second try after a
crash is the same mail with the same Message-ID.
"""

import smtplib
from datetime import datetime, timedelta

from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import QuerySet

from caseboard.lib.logging.request_id import log_bound
from horses.access import access_on
from horses.jobs.outbox import Later, job_handler, logger
from horses.models import CaseMute, Digest, Horse, Notice, Person
from horses.notices.messages import digest_message, notice_message
from horses.notices.preferences import MailWay, quiet_until, way_to_mail
from horses.notices.smtp_errors import Trouble, trouble_of, trouble_words

GIVE_UP_AFTER = timedelta(days=3)  # house default: older news helps nobody
# After a failure an urgent mail is tried again this soon at the latest. House default.
URGENT_AGAIN = timedelta(minutes=2)
STATE = Notice.State


FROM_NUMBERS = ("alert.raised", "alert.worse", "alert.back")


def may_still_see(notice: Notice) -> bool:
    """Checked again when sending, because people are removed while mail waits."""
    access = access_on(notice.person, notice.case)
    return access is not None and f",{access.role}," in notice.audience


def why_not(notice: Notice) -> str:
    """Why a waiting mail must not go out any more; empty when it may."""
    if not may_still_see(notice):
        return "no longer on the team"
    if notice.verb in FROM_NUMBERS and notice.case.horse.state != Horse.State.ACTIVE:
        return "the horse's care is paused or has ended"
    muted = CaseMute.objects.filter(person=notice.person, case=notice.case).exists()
    if way_to_mail(notice.person, urgent=notice.urgent, muted=muted) is MailWay.NOT:
        return "does not want it by mail any more"
    return ""


@job_handler("notice.mail")
def notice_mail(key: str, now: datetime) -> None:
    """Sends one mail. The same notice always has the same Message-ID, so that a mail sent twice
    by a worker that died in between can be recognised as one."""
    notice = Notice.objects.select_related("person", "case__horse").get(public_id=key)
    if notice.state != STATE.PENDING:
        return
    with log_bound(person=notice.person.public_id, case=notice.case.public_id):
        _mail(notice, now)


def _mail(notice: Notice, now: datetime) -> None:
    if why := why_not(notice):
        _settle(_one(notice), STATE.DROPPED, now, why)
        return
    if not notice.urgent and (until := quiet_until(notice.person, now)):
        raise Later("quiet hours", at=until)
    again = now + URGENT_AGAIN if notice.urgent else None
    _send(notice_message(notice), notice.person, _one(notice), notice.created_at, now, again)


@job_handler("notice.digest")
def notice_digest(key: str, now: datetime) -> None:
    """Sends what gathered for one person since the last time as one mail, or no mail when nothing did."""
    person = Person.objects.get(public_id=key.split(":")[0])
    digest = _open_digest(person, now)
    if digest is None:
        return
    notices = list(
        digest.notices.filter(state=STATE.PENDING)
        .select_related("person", "case__horse")
        .order_by("created_at", "pk")
    )
    going = []
    for notice in notices:
        if why := why_not(notice):
            _settle(_one(notice), STATE.DROPPED, now, why)
        else:
            going.append(notice)
    if going:
        if until := quiet_until(person, now):
            raise Later("quiet hours", at=until)
        rows = Notice.objects.filter(pk__in=[n.pk for n in going])
        _send(digest_message(person, digest, going), person, rows, digest.made_at, now, None)
    Digest.objects.filter(pk=digest.pk).update(settled_at=now)


@transaction.atomic
def _open_digest(person: Person, now: datetime) -> Digest | None:
    """The digest that was begun and not finished, or a new one with all that waits."""
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    digest = Digest.objects.filter(person=person, settled_at=None).first()
    if digest is not None:
        return digest
    waiting = Notice.objects.filter(
        person=person, channel=Notice.Channel.MAIL, state=STATE.PENDING, in_digest=True, digest=None
    )
    if not waiting.exists():
        return None
    digest = Digest.objects.create(person=person, made_at=now)
    waiting.update(digest=digest)
    return digest


def _send(
    message: EmailMessage,
    person: Person,
    rows: QuerySet[Notice],
    since: datetime,
    now: datetime,
    again: datetime | None,
) -> None:
    """Sends one mail and writes down what became of it. An outage of hours loses nothing: only
    what is days old is given up, and then the team is shown that it did not arrive."""
    try:
        message.send()
    except (smtplib.SMTPException, OSError) as error:
        trouble, words = trouble_of(error), trouble_words(error)
        if trouble is Trouble.OURS:
            logger.error("mail.refused_ours %s", words)  # repair the set-up: nothing goes out
        if trouble in (Trouble.ADDRESS, Trouble.MESSAGE) or now - since > GIVE_UP_AFTER:
            _settle(rows, STATE.FAILED, now, words)
            _mark_trouble(person, now, words)
            logger.error("mail.given_up person=%s %s", person.public_id, words)
            return
        if again is not None:  # urgent: the team must know while it does not arrive
            _mark_trouble(person, now, words)
            raise Later(words, at=again) from None
        raise Later(words) from None
    _settle(rows, STATE.SENT, now)
    _mark_trouble(person, None, "")


def _one(notice: Notice) -> QuerySet[Notice]:
    return Notice.objects.filter(pk=notice.pk)


def _settle(rows: QuerySet[Notice], state: str, now: datetime, trouble: str = "") -> None:
    rows.filter(state=STATE.PENDING).update(
        state=state, sent_at=now if state == STATE.SENT else None, trouble=trouble[:300]
    )


def _mark_trouble(person: Person, since: datetime | None, words: str) -> None:
    """Since when mail does not arrive at this address; cleared by one that does."""
    here = Person.objects.filter(pk=person.pk)
    if since is None:
        here.filter(mail_trouble_at__isnull=False).update(mail_trouble_at=None, mail_trouble="")
    else:
        here.filter(mail_trouble_at=None).update(mail_trouble_at=since, mail_trouble=words[:200])
