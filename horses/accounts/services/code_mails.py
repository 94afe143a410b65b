"""The mails of the sign-in: written down with the click, sent by a worker, and what became of each.

The page answers before any mail server is asked, so that it takes the same time for every address
and does not fail with the mail. The browser that asked, and no other, is told how it went.

Decided 2026-11: all codes go by the outbox, those for people who are signed in too (fresh_codes.py).
"""

import smtplib
from datetime import datetime, timedelta

from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import F

from caseboard.lib.logging.fields import logger
from horses.jobs.outbox import URGENT, Later, enqueue, job_handler
from horses.models import CodeMail, Job
from horses.notices.messages import message_id
from horses.notices.smtp_errors import Trouble, trouble_of, trouble_words

log = logger("horses.code_mails")
KIND = "code.mail"
# House default: a code lives five minutes; then neither its mail nor its fate is of use.
KEPT_FOR = timedelta(minutes=15)
SENT_WITHIN = timedelta(minutes=5)
MOST_KEPT = 10_000  # house default: what strangers can have waiting at most


@transaction.atomic
def code_mail_want(
    *, to: str, subject: str, body: str, instead_of: str = "", now: datetime, rank: int = URGENT
) -> CodeMail:
    """Asks for the mail. The one that the same browser asked for before (`instead_of`) is not sent
    any more: its code opens nothing."""
    _forget([instead_of] if instead_of else [])
    over = CodeMail.objects.count() - MOST_KEPT + 1
    if over > 0:
        oldest = CodeMail.objects.order_by("asked_at").values_list("public_id", flat=True)
        _forget(list(oldest[:over]))
    mail = CodeMail(to=to, body=body, asked_at=now)
    mail.subject = f"{subject} ({code_mail_mark(mail.public_id)})"[:200]
    mail.save()
    enqueue(KIND, mail.public_id, now=now, rank=rank)
    return mail


def code_mail_mark(public_id: str) -> str:
    """By which somebody finds their own mail when strangers have asked for others: it stands in the
    subject and on the page."""
    return public_id[:3].upper()


def code_mail_find(public_id: str) -> CodeMail | None:
    return CodeMail.objects.filter(public_id=public_id).first() if public_id else None


def code_mail_tried(public_id: str, *, most: int) -> bool:
    """Counts one try of the code in this mail: whether it is one of the first `most`. Two tries at
    the same moment count one by one; a mail that is no longer there has none left."""
    left = CodeMail.objects.filter(public_id=public_id, tries__lt=most)
    return bool(public_id) and left.update(tries=F("tries") + 1) == 1


def code_mails_sweep(*, now: datetime) -> None:
    old = CodeMail.objects.filter(asked_at__lt=now - KEPT_FOR)
    _forget(list(old.values_list("public_id", flat=True)))


def _forget(ids: list[str]) -> None:
    if ids:
        Job.objects.filter(kind=KIND, key__in=ids).delete()
        CodeMail.objects.filter(public_id__in=ids).delete()


@job_handler(KIND)
def code_mail_send(key: str, now: datetime) -> None:
    mail = code_mail_find(key)
    if mail is None or mail.sent_at is not None or now - mail.asked_at > SENT_WITHIN:
        return
    row = CodeMail.objects.filter(pk=mail.pk)
    try:
        _message(mail).send()
    except (smtplib.SMTPException, OSError) as error:
        trouble, words = trouble_of(error), trouble_words(error)
        row.update(trouble=trouble, answered=words[:80])
        if trouble is Trouble.OURS:
            log.error("mail.refused_ours", why=words)
        if trouble in (Trouble.LATER, Trouble.OURS):
            raise Later(words) from None
        log.warning("code_mail.refused", why=words)
    else:
        row.update(sent_at=now, body="", trouble="", answered="")


def _message(mail: CodeMail) -> EmailMessage:
    headers = {
        "Message-ID": message_id(f"code.{mail.public_id}"),
        "Auto-Submitted": "auto-generated",
    }
    return EmailMessage(subject=mail.subject, body=mail.body, to=[mail.to], headers=headers)
