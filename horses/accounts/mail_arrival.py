"""What became of a mail with a code, in plain words, for the browser that asked for it.

It speaks of the mail and of the address as a mail server sees it, never of whether somebody has an
account: a mail goes out in either case.
"""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import timezone

from horses.models import CodeMail
from horses.notices.smtp_errors import Trouble

SLOW = timedelta(seconds=60)  # house default: by then a mail has gone out or something is wrong
LOOK = "Look among the unwanted mail too."
GONE = "It is too old to say. Ask for another code."


@dataclass(frozen=True)
class Ways:
    """What else somebody can do, which differs with the page that asks for the code."""

    other_address: str = ""
    other_address_later: str = ""
    meanwhile: str = ""


AT_THE_SIGN_IN = Ways(
    other_address=" Look at how the address is written, and use another if it is right.",
    other_address_later=", or use another address",
    meanwhile="; a passkey works meanwhile",
)
# A deed that asks again sends to the address of the account, and takes no passkey.
BEFORE_A_DEED = Ways(other_address=" Tell the person who runs this board.")
TO_A_NEW_ADDRESS = Ways(AT_THE_SIGN_IN.other_address, AT_THE_SIGN_IN.other_address_later)


def arrival_words(mail: CodeMail | None, *, now: datetime, ways: Ways = AT_THE_SIGN_IN) -> str:
    if mail is None:
        return GONE
    match mail.trouble:
        case Trouble.ADDRESS:
            return (
                f"The mail server of that address does not take mail for it{_number(mail)}."
                f"{ways.other_address}"
            )
        case Trouble.MESSAGE:
            return (
                f"The mail server of that address refused this mail{_number(mail)}. Ask for another "
                f"code later{ways.other_address_later}."
            )
        case Trouble.OURS:
            return (
                f"The mail server refuses what this board sends{_number(mail)}. Nothing is wrong with "
                f"your address. Tell the person who runs this board{ways.meanwhile}."
            )
        case Trouble.LATER:
            return _later(mail)
    if mail.sent_at is not None:
        at = timezone.localtime(mail.sent_at)
        return f"The mail server took it at {at:%H:%M:%S}. It can take some minutes more. {LOOK}"
    if now - mail.asked_at > SLOW:
        return (
            "It has not gone out yet: this board's mail is slow or stands still. It is sent as soon as "
            f"it can be{ways.meanwhile}."
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
