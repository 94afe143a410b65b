"""The kinds of jobs this app runs after the commit; importing this module registers them.

The outbox imports it before the first job (horses/jobs/outbox.py), so that a command that runs none
does not wait for what they need.
"""

from horses.accounts.services import code_mails, email_changes, passkeys
from horses.notices import send
from horses.rules import engine
from horses.services import (
    invitations,
    pictures,
    sale_end,
    shoes,
    yard_links,
    yard_members,
)

__all__ = [
    "code_mails",
    "email_changes",
    "engine",
    "invitations",
    "passkeys",
    "pictures",
    "sale_end",
    "send",
    "shoes",
    "yard_links",
    "yard_members",
]
