"""Sends the mail that carries a link to join, and keeps what the mail server said beside the link."""

import smtplib
from typing import Any

from django.core.mail import EmailMessage
from django.db.models import QuerySet

from horses.jobs.outbox import Later
from horses.notices.smtp_errors import Trouble, trouble_of, trouble_words


def link_mail_send(message: EmailMessage, row: QuerySet[Any]) -> None:
    """`row`: the one link, whose `mail_trouble` its page shows. Raises Later where another try may
    help; the job's own end says when it is too old."""
    try:
        message.send()
    except (smtplib.SMTPException, OSError) as error:
        row.update(mail_trouble=trouble_words(error)[:200])
        if trouble_of(error) not in (Trouble.ADDRESS, Trouble.MESSAGE):
            raise Later(trouble_words(error)) from None
    else:
        row.update(mail_trouble="")
