"""Reads the mails that a person got, as files in the mailbox folder."""

import re
from pathlib import Path

from django.conf import settings

from caseboard.lib.mailbox import Letter, mailbox_list
from caseboard.views.mailbox import code_of
from horses.jobs.outbox import jobs_run_due


def jobs_run_all() -> None:
    """Does all work that is due: in these tests no worker runs beside the server."""
    while jobs_run_due():
        pass


def letters_to(email: str) -> list[Letter]:
    """The newest first, everything due sent before."""
    jobs_run_all()
    return [letter for letter in mailbox_list(Path(settings.MAILBOX_DIR)) if email in letter.to]


def code_for(email: str) -> str:
    """The sign-in code in the newest mail that holds one."""
    return next(code for letter in letters_to(email) if (code := code_of(letter)))


def invitation_link(email: str) -> str:
    """The address in the newest invitation that a person got."""
    links = (link for letter in letters_to(email) for link in letter.links)
    return next(link for link in links if re.search(r"/invitations/", link))
