"""The sign-in library's pages that send a mail or try a code, with limits of our own in front.

Counted are an address and a machine together, so that nobody is kept out by strangers who ask for
codes with their address; a browser in which somebody has signed in before has room of its own. A known
and an unknown address count alike, so that nothing can be learned. The library counts the tries of a
code inside the session, where tries sent at the same moment can overwrite each other's count: here
they are counted with the mail that carries the code.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from allauth.account import views as account
from allauth.account.adapter import get_adapter
from allauth.account.internal.flows.email_verification_by_code import (
    EMAIL_VERIFICATION_CODE_SESSION_KEY,
)
from allauth.account.internal.stagekit import LOGIN_SESSION_KEY
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse

from caseboard.lib import clock
from caseboard.lib.address_key import address_key
from caseboard.lib.known_browser import known_browser
from caseboard.lib.limits import limit_check, tries
from caseboard.lib.machine import machine_of
from horses.accounts.adapter import CODE_MAIL
from horses.accounts.mail_arrival import arrival_words
from horses.accounts.services.code_mails import code_mail_find, code_mail_mark, code_mail_tried
from horses.jobs.outbox import NOTICES, URGENT

WINDOW_S = 600
A_WINDOW_FOR_AN_ADDRESS = 8  # one machine's for it; house default: mistyped, lost in the spam, more
A_WINDOW_FOR_A_MACHINE = 60  # house default: a whole yard behind one connection
# An address that so many codes were asked for in one window is being flooded: a machine that nobody
# signed in from before then gets few. House defaults.
CALM_FOR_AN_ADDRESS, A_WINDOW_WHILE_FLOODED = 20, 2
# Above this many a minute, strangers' codes stand behind the notices. House default.
AT_ONCE_A_MINUTE = 30

View = Callable[..., HttpResponse]


def limited(view: View) -> View:
    """Counts what is sent, not what is looked at."""

    @wraps(view)  # carries the mark of pages that need no sign-in along
    def counted(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.method == "POST":
            _count(request)
        return view(request, *args, **kwargs)

    return counted


def _count(request: HttpRequest) -> None:
    now = clock.now()
    known, machine = known_browser(request), machine_of(request)
    scope, who = ("known browser", known.device) if known else ("machine", machine)
    limit_check(
        f"sign-in {scope}",
        who,
        limit=A_WINDOW_FOR_A_MACHINE,
        window_s=WINDOW_S,
        now=now,
        by_strangers=True,
    )
    if typed := request.POST.get("email", ""):
        own = known if known is not None and known.knows(typed) else None
        _count_address(address_key(typed), machine, device=own.device if own else "")
        request.code_rank = URGENT if own else _strangers_rank()  # type: ignore[attr-defined]


def _count_address(address: str, machine: str, *, device: str) -> None:
    now, limit = clock.now(), A_WINDOW_FOR_AN_ADDRESS
    if not device:
        most = CALM_FOR_AN_ADDRESS
        asked = tries(
            "sign-in address", address, most=most, window_s=WINDOW_S, now=now, by_strangers=True
        )
        limit = limit if asked <= most else A_WINDOW_WHILE_FLOODED
    who = f"device {device}" if device else f"machine {machine}"
    limit_check(
        "sign-in address and who",
        f"{who} {address}",
        limit=limit,
        window_s=WINDOW_S,
        now=now,
        by_strangers=True,
    )


def _strangers_rank() -> int:
    """A flood of strangers' codes keeps no urgent notice waiting, and no one's whom we know."""
    asked = tries("sign-in codes", "all", most=AT_ONCE_A_MINUTE, window_s=60, now=clock.now())
    return URGENT if asked <= AT_ONCE_A_MINUTE else NOTICES


def tried(view: View) -> View:
    """Lets the library see no more tries of one code than it allows, however they come; and tells
    the browser that asked what became of the mail."""

    @wraps(view)
    def counted(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.method == "POST":
            _count(request)
            tries_a_code = "code" in request.POST or request.POST.get("action") is None
            if tries_a_code and not _may_try(request):
                return _used_up(request)
        response = view(request, *args, **kwargs)
        if isinstance(response, TemplateResponse) and response.context_data is not None:
            mail = code_mail_find(request.session.get(CODE_MAIL, ""))
            response.context_data["arrival"] = arrival_words(mail, now=clock.now())
            response.context_data["mark"] = code_mail_mark(mail.public_id) if mail else ""
        return response

    return counted


def _may_try(request: HttpRequest) -> bool:
    """Without a mail there is no code either: the library says so. With one that is no longer there,
    nobody can count any more."""
    mail = request.session.get(CODE_MAIL, "")
    return not mail or code_mail_tried(mail, most=settings.ACCOUNT_LOGIN_BY_CODE_MAX_ATTEMPTS)


def _used_up(request: HttpRequest) -> HttpResponse:
    for name in (LOGIN_SESSION_KEY, EMAIL_VERIFICATION_CODE_SESSION_KEY):
        request.session.pop(name, None)
    messages.error(request, get_adapter().error_messages["too_many_login_attempts"])
    return redirect("account_request_login_code")


request_code = limited(account.request_login_code)
confirm_code = tried(account.confirm_login_code)
sign_up = limited(account.signup)
confirm_address = tried(account.email_verification_sent)
