"""The codes that people are mailed, as a worker sends them."""

import re

from django.core import mail

from caseboard.lib import clock
from horses.accounts.services.code_mails import code_mail_send
from horses.models import CodeMail


def codes_sent() -> None:
    for waiting in CodeMail.objects.filter(sent_at=None).order_by("pk"):
        code_mail_send(waiting.public_id, clock.now())


def code_mailed() -> str:
    """The code in the newest mail; empty when it holds none."""
    codes_sent()
    found = re.search(r"^([A-Z0-9]{4}-?[A-Z0-9]{4})$", str(mail.outbox[-1].body), re.MULTILINE)
    return found[1] if found else ""


def code_there() -> str:
    found = code_mailed()
    assert found, "no code in the newest mail"
    return found
