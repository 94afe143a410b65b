"""What became of a sign-in mail, in plain words, for the browser that asked for it.

It speaks of the mail and of the address as a mail server sees it, never of whether somebody has an
account: a mail goes out in either case.
"""

import re
from datetime import datetime, timedelta

from django.utils import timezone

from horses.models import CodeMail
from horses.notices.smtp_errors import Trouble

SLOW = timedelta(seconds=60)  # house default: by then a mail has gone out or something is wrong
LOOK = "Look among the unwanted mail too."
GONE = "It is too old to say. Ask for another code."


def arrival_words(mail: CodeMail | None, *, now: datetime) -> str:
    if mail is None:
        return GONE
    match mail.trouble:
        case Trouble.ADDRESS:
            return (
                f"The mail server of that address does not take mail for it{_number(mail)}. Look at "
                "how the address is written, and use another if it is right."
            )
        case Trouble.MESSAGE:
            return (
                f"The mail server of that address refused this mail{_number(mail)}. Ask for another "
                "code later, or use another address."
            )
        case Trouble.OURS:
            return (
                f"The mail server refuses what this board sends{_number(mail)}. Nothing is wrong with "
                "your address. Tell the person who runs this board; a passkey works meanwhile."
            )
        case Trouble.LATER:
            return _later(mail)
    if mail.sent_at is not None:
        at = timezone.localtime(mail.sent_at)
        return f"The mail server took it at {at:%H:%M:%S}. It can take some minutes more. {LOOK}"
    if now - mail.asked_at > SLOW:
        return (
            "It has not gone out yet: this board's mail is slow or stands still. It is sent as soon as "
            "it can be; a passkey works meanwhile."
        )
    return "It is just being sent. Look again in a moment."


def _later(mail: CodeMail) -> str:
    if number := _number(mail):
        said = f"The mail server asked for patience{number}."
    else:
        said = "The mail server did not answer."
    return f"{said} It is tried again by itself for five minutes; then ask for another code."


def _number(mail: CodeMail) -> str:
    """The number that a mail server answers by (RFC 5321, 4.2), for whoever is asked for help."""
    found = re.search(r"\b[245]\d\d\b", mail.answered)
    return f" (it answered {found[0]})" if found else ""
