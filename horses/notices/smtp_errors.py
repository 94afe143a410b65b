"""What a mail server's answer means: try again, this message never, or this address never.

Decided 2026-11: 4xx and silence are tried again for three days. A 5xx to the address or the message
is given up at once and shown to the others on the board. A 5xx to our own set-up (sender, password)
blames no address and is an error in the log.
"""

import smtplib
from enum import StrEnum


class Trouble(StrEnum):
    LATER = "later"  # the other side asks for patience, or nobody answered
    OURS = "ours"  # our own set-up is refused: no address is at fault, somebody must repair it
    MESSAGE = "message"  # this message is refused for good
    ADDRESS = "address"  # this address is refused for good


# RFC 5321, 4.2.1: a reply of 4yz asks for another try, one of 5yz says that it is of no use.
PERMANENT = range(500, 600)


def trouble_of(error: Exception) -> Trouble:
    """How to go on after `error` was raised by sending one mail to one address."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        codes = [code for code, _ in error.recipients.values()]
        return Trouble.ADDRESS if codes and all(c in PERMANENT for c in codes) else Trouble.LATER
    if isinstance(error, smtplib.SMTPDataError):
        return Trouble.MESSAGE if error.smtp_code in PERMANENT else Trouble.LATER
    if isinstance(error, (smtplib.SMTPSenderRefused, smtplib.SMTPAuthenticationError)):
        return Trouble.OURS if error.smtp_code in PERMANENT else Trouble.LATER
    return Trouble.LATER


def trouble_words(error: Exception) -> str:
    """The kind and the number of the answer; its text may quote an address or the message."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        codes = sorted({code for code, _ in error.recipients.values()})
        return f"{type(error).__name__} {', '.join(map(str, codes))}".strip()
    code = getattr(error, "smtp_code", "")
    return f"{type(error).__name__} {code}".strip()
