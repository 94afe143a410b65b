"""The sign-in library's pages that send a mail, with limits of our own in front.

The library limits too, but does not say how long to wait. Both the address typed and the machine
that asks are counted; a known and an unknown address count alike, so that nothing can be learned.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from allauth.account import views as account
from allauth.core.internal.httpkit import get_client_ip
from django.http import HttpRequest, HttpResponse

from caseboard.lib import clock
from caseboard.lib.limits import limit_check

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


request_code = limited(account.request_login_code)
sign_up = limited(account.signup)
