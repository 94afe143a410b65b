"""The code for a person who is signed in already: made for one browser, mailed by the outbox."""

from datetime import datetime
from typing import Any

from django.db import transaction

from horses.accounts.reauthentication import code_asked, code_new, code_note
from horses.accounts.services.code_mails import code_mail_find, code_mail_want
from horses.models import CodeMail

MAIL = "mail"  # beside the code in the session: which mail carries it
SUBJECT, SUBJECT_TAKEN = "Your code: {code}", "Your sign-in at the hoof case board"
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


@transaction.atomic
def fresh_code_want(
    session: Any, purpose: str, *, to: str, subject: str, words: str, now: datetime
) -> None:
    """A new code for this browser and purpose, sent by the outbox. The mail with the one that it
    asked for before is not sent any more: that code opens nothing."""
    before = code_asked(session, purpose).get(MAIL, "")
    code = code_new(session, purpose, now)
    mail = code_mail_want(
        to=to,
        subject=subject.format(code=code),
        body=words.format(code=code) + FOOT,
        instead_of=before,
        now=now,
    )
    code_note(session, purpose, to=to, **{MAIL: mail.public_id})


def fresh_code_mail(session: Any, purpose: str) -> CodeMail | None:
    """The mail that this browser asked for, as far as it is still known."""
    return code_mail_find(code_asked(session, purpose).get(MAIL, ""))
