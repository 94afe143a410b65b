"""Limits how many forms one person sends in ten minutes, counted over all processes.

It is the last middleware before the view: behind the CSRF check, so that forged forms use up nobody's
allowance, and behind the sign-in, so that the person is known. Views that cost more (photos,
invitations, PDF, codes by mail) have a narrower limit of their own as well.

Decided 2026-11: all forms of a person count together (300 in ten minutes). Signing out and ending
sign-ins are never refused.
"""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from caseboard.http.too_many import too_many_page
from caseboard.lib import clock
from caseboard.lib.errors import TooMany
from caseboard.lib.known_browser import known_browser
from caseboard.lib.limits import limit_check
from caseboard.lib.machine import machine_of

WINDOW_S = 600
LOOKING = ("GET", "HEAD", "OPTIONS")
# Never refused: each of them takes a way in away from whoever should not have it.
ALWAYS_TAKEN = {"account_logout", "sign_in_end", "sign_ins_end_others", "address_back"}


class WriteLimitMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_: Any) -> HttpResponse | None:
        page = request.resolver_match.view_name if request.resolver_match else ""
        if request.method in LOOKING or page in ALWAYS_TAKEN:
            return None
        try:
            limit_check(
                "writes",
                _who(request),
                limit=settings.LIMIT_WRITES,
                window_s=WINDOW_S,
                now=clock.now(),
                what="forms",
                by_strangers=not request.user.is_authenticated,
            )
        except TooMany as error:
            return too_many_page(request, error)
        return None


def _who(request: HttpRequest) -> str:
    """The person, on all their devices; of somebody not signed in only the machine is known, or the
    browser when somebody signed in there before."""
    if request.user.is_authenticated:
        return f"person {request.user.public_id}"
    known = known_browser(request)
    return f"browser {known.device}" if known else f"machine {machine_of(request)}"
