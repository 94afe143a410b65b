"""The mail that carries a code to a person who is signed in already."""

import logging
import smtplib

from django.core.mail import EmailMessage

log = logging.getLogger("horses.accounts.code_mail")

FRESH = (
    "Here is your code:\n\n{code}\n\n"
    "Type it into the page that asked for it. It works once, for five minutes.\n"
    "If you did not ask for it, somebody is at a phone or computer where you are signed in: sign "
    "in, look under Me at where you are signed in, and end what is not yours."
)
NEW_ADDRESS = (
    "Somebody, most likely you, wants to sign in to the hoof case board with this address from now "
    "on. Type this code into the page that asked for it:\n\n{code}\n\n"
    "It works once, for five minutes. If it was not you, do nothing."
)
TAKEN = (
    "Somebody, most likely you, wanted to use this address for another account. You have an "
    "account with it already: sign in with it, or use another address there.\n\n"
    "If it was not you, do nothing."
)
FOOT = "\n\nHoof case board\nNumbers do not see pain. If a horse needs help now, ring your vet.\n"


def code_mail(to: str, *, subject: str, words: str, code: str = "") -> bool:
    """Sends it at once, because somebody waits; says whether the mail server took it."""
    message = EmailMessage(subject=subject, body=words.format(code=code) + FOOT, to=[to])
    try:
        message.send()
    except (OSError, smtplib.SMTPException):
        log.exception("code_mail.failed")
        return False
    return True
