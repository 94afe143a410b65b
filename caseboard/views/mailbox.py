"""The demo's mailbox: what a mail server would have sent, to read on a page.

Open to all, because a sign-in code must be readable before signing in. Routed only where mail goes
to files, which production refuses (caseboard/urls.py, caseboard/checks.py).
"""

import re
from pathlib import Path

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from caseboard.lib.mailbox import Letter, mailbox_get, mailbox_list
from caseboard.lib.open_pages import open_to_all

SHOWN = 100  # mails on the page; house default
# A sign-in code stands alone on its line, below a sentence that speaks of it.
CODE = re.compile(r"code[^\n]*:\s*\n\s*\n([A-Z0-9-]{6,9})\s*$", re.MULTILINE)


def code_of(letter: Letter) -> str:
    """The sign-in code in a mail; empty when it holds none."""
    found = CODE.search(letter.body)
    return found[1] if found else ""


@open_to_all
@require_safe
def mailbox(request: HttpRequest) -> HttpResponse:
    letters = mailbox_list(Path(settings.MAILBOX_DIR), limit=SHOWN)
    lines = [{"letter": letter, "code": code_of(letter)} for letter in letters]
    return render(request, "caseboard/mailbox.html", {"lines": lines, "limit": SHOWN})


@open_to_all
@require_safe
def mail(request: HttpRequest, mail_id: str) -> HttpResponse:
    letter = mailbox_get(Path(settings.MAILBOX_DIR), mail_id)
    if letter is None:
        raise Http404("no such mail")
    shown = {"letter": letter, "code": code_of(letter)}
    return render(request, "caseboard/mail.html", shown)
