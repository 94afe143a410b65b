"""The sign-in library's pages that send a mail or try a code, with limits of our own in front.

The library limits too, but does not say how long to wait. Both the address typed and the machine
that asks are counted; a known and an unknown address count alike, so that nothing can be learned.
The library counts the tries of a code inside the session, where tries sent at the same moment can
overwrite each other's count: here they are counted where all processes see it.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from allauth.account import views as account
from allauth.account.adapter import get_adapter
from allauth.account.internal.stagekit import LOGIN_SESSION_KEY
from allauth.core.internal.httpkit import get_client_ip
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from caseboard.lib import clock
from caseboard.lib.limits import limit_check, one_of

WINDOW_S = 600
A_WINDOW_FOR_AN_ADDRESS = 8  # house default: mistyped, lost in the spam, and some more
A_WINDOW_FOR_A_MACHINE = 60  # house default: a whole yard behind one connection

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
    machine = get_client_ip(request) or "unknown"
    limit_check(
        "sign-in machine", machine, limit=A_WINDOW_FOR_A_MACHINE, window_s=WINDOW_S, now=now
    )
    if address := request.POST.get("email", "").strip().casefold():
        limit_check(
            "sign-in address", address, limit=A_WINDOW_FOR_AN_ADDRESS, window_s=WINDOW_S, now=now
        )


def tried(view: View) -> View:
    """Lets the library see no more tries of one code than it allows, however they come."""

    @wraps(view)
    def counted(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.method == "POST":
            _count(request)
            if request.POST.get("action") != "resend" and not _may_try(request):
                request.session.pop(LOGIN_SESSION_KEY, None)
                said = get_adapter().error_messages["too_many_login_attempts"]
                messages.error(request, said)
                return redirect("account_request_login_code")
        return view(request, *args, **kwargs)

    return counted


def _may_try(request: HttpRequest) -> bool:
    """One key and count for each code that was sent to this browser."""
    login = request.session.get(LOGIN_SESSION_KEY) or {}
    stage = login.get("state", {}).get("stages", {}).get("login_by_code", {})
    key = f"{request.session.session_key} {stage.get('at')} {stage.get('resend_count')}"
    keep_s = 2 * settings.ACCOUNT_LOGIN_BY_CODE_TIMEOUT
    return one_of("sign-in tries", key, limit=settings.ACCOUNT_LOGIN_BY_CODE_MAX_ATTEMPTS,
                  keep_s=keep_s)  # fmt: skip


request_code = limited(account.request_login_code)
confirm_code = tried(account.confirm_login_code)
sign_up = limited(account.signup)
