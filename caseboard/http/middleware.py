"""Middleware of every page: a request id, sign-in first, a designed page for errors."""

from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import patch_vary_headers

from caseboard.http.door import is_too_much
from caseboard.http.not_saved import away_page, is_refused_write, not_saved_page
from caseboard.http.too_many import too_many_page
from caseboard.kept.pages import is_for_nothing, keep_marked
from caseboard.lib import clock
from caseboard.lib.errors import Conflict, TooMany
from caseboard.lib.known_browser import known_remember
from caseboard.lib.logging.request_id import log_add, log_bound, new_request_id, request_id_bound
from horses.accounts.services.sessions import sign_in_seen

GetResponse = Callable[[HttpRequest], HttpResponse]
DRAFT_KEY = "X-Draft-Key"  # marks what a phone's script sends of its drafts: drafts.py


class RequestIdMiddleware:
    """Gives each request an id that its log lines, history lines and answer carry."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        value = new_request_id()
        # Emptied first: what `process_view` adds ends with this request.
        with request_id_bound(value), log_bound(person="", case=""):
            response = self.get_response(request)
        response["X-Request-ID"] = value
        return response

    def process_view(
        self, request: HttpRequest, _view: Any, _args: Any, kwargs: dict[str, Any]
    ) -> None:
        """From here on the log lines also say who, and on which case: ids of ours."""
        who = request.user.public_id if request.user.is_authenticated else ""
        log_add(person=who, case=str(kwargs.get("case_id", ""))[:40])


class SignInRequiredMiddleware(LoginRequiredMiddleware):
    """Every page needs a signed-in person, except those marked by `open_to_all`."""

    def handle_no_permission(  # type: ignore[override]  # the parent's answer is the narrower redirect
        self, request: HttpRequest, view_func: Callable[..., Any]
    ) -> HttpResponse:
        by_script = request.htmx or DRAFT_KEY in request.headers  # type: ignore[attr-defined]  # HtmxMiddleware
        if not by_script:
            return super().handle_no_permission(request, view_func)
        # The script says it, with a link to sign in; going there at once would take away the page
        # and what was typed on it.
        answer = HttpResponse(status=401)
        answer["HX-Reswap"] = "none"
        return answer


class AnswersMiddleware:
    """Turns what services raise into answers, says whose each is, and keeps signed-in pages out of
    shared caches.

    Stands before the CSRF check, which is the first to read what a form sent: too large a form is
    answered here.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        patch_vary_headers(response, ["HX-Request"])
        keep_marked(request, response, today=timezone.localtime(clock.now()).date())
        if request.user.is_authenticated:
            response["Cache-Control"] = "private, no-store"
            sign_in_seen(session=request.session, now=clock.now())
            known_remember(request, response, request.user.email)
        return response

    def process_view(self, request: HttpRequest, *_: Any) -> HttpResponse | None:
        if is_for_nothing(request):
            return HttpResponse(status=204)
        if (
            is_too_much(request.META.get("CONTENT_LENGTH", ""))
            and not request.user.is_authenticated
        ):
            return render(request, "413.html", status=413)  # before a byte of it is read
        try:
            request.POST  # noqa: B018  (reading it is what raises)
        except TOO_LARGE:
            return render(request, "413.html", status=413)
        except OSError as error:
            if is_refused_write(error):  # no room for what is kept on disk while it comes in
                return not_saved_page(request, error)
            raise
        return None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        match error:
            case Conflict():
                return _conflict(request, error)
            case TooMany():
                return too_many_page(request, error)
            case _ if is_refused_write(error):
                looks = request.method in LOOKING
                return away_page() if looks else not_saved_page(request, error)
            case _:
                return None  # Django's own handlers: 404, 403, 400, and 500 with a log line


LOOKING = ("GET", "HEAD", "OPTIONS")
TOO_LARGE = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)


def _conflict(request: HttpRequest, error: Conflict) -> HttpResponse:
    shown = {"pairs": error.pairs(), "who": error.who, "on": error.at, "back_url": error.path}
    return render(request, "409.html", shown, status=409)
