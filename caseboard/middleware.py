"""What happens round every page: an id for the click, sign-in first, a designed page for trouble."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render, resolve_url
from django.utils.cache import patch_vary_headers

from caseboard.lib.answers import Conflict, TooMany
from caseboard.lib.logs import logger
from caseboard.lib.request_id import new_request_id, request_id_bound

log = logger("caseboard.pages")
GetResponse = Callable[[HttpRequest], HttpResponse]


class RequestIdMiddleware:
    """Gives each request an id that its log lines, history lines and answer carry."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        value = new_request_id()
        with request_id_bound(value):
            response = self.get_response(request)
        response["X-Request-ID"] = value
        return response


class SignInRequiredMiddleware(LoginRequiredMiddleware):
    """Every page needs a signed-in person, except those marked by `open_to_all`."""

    def handle_no_permission(self, request: HttpRequest, view_func: Callable[..., Any]) -> Any:
        redirect = super().handle_no_permission(request, view_func)
        if not getattr(request, "htmx", False):
            return redirect
        # A part of a page cannot be redirected: the whole page goes to sign-in, and comes back to
        # the page the person was looking at rather than to the part.
        answer = HttpResponse(status=401)
        answer["HX-Redirect"] = _sign_in_url(request) or redirect["Location"]
        return answer


def _sign_in_url(request: HttpRequest) -> str:
    page = request.htmx.current_url_abs_path  # type: ignore[attr-defined]
    if not page:
        return ""
    return str(redirect_to_login(page, resolve_url(settings.LOGIN_URL))["Location"])


class AnswersMiddleware:
    """Turns what services raise into answers, and keeps signed-in pages out of shared caches.

    Stands before the CSRF check, which is the first to read what a form sent: too large a form is
    answered here.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        patch_vary_headers(response, ["HX-Request"])
        if request.user.is_authenticated:
            response["Cache-Control"] = "private, no-store"
        if response.status_code in HANDLER_STATUSES:
            _say_above_the_page(request, response)
        return response

    def process_view(self, request: HttpRequest, *_: Any) -> HttpResponse | None:
        try:
            request.POST  # noqa: B018  (reading it is what raises)
        except TOO_LARGE:
            return _trouble(request, "413.html", {}, status=413)
        return None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        match error:
            case Conflict():
                return _conflict(request, error)
            case TooMany():
                return _too_many(request, error)
            case _:
                return None  # Django's own handlers: 404, 403, 400, and 500 with a log line


TOO_LARGE = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)
HANDLER_STATUSES = frozenset({400, 403, 404, 500})  # pages that Django's handlers make


def _conflict(request: HttpRequest, error: Conflict) -> HttpResponse:
    shown = {"pairs": error.pairs(), "who": error.who, "back_url": error.path}
    return _trouble(request, "409.html", shown, status=409)


def _too_many(request: HttpRequest, error: TooMany) -> HttpResponse:
    log.warning("too_many", path=request.path, retry_after_s=error.retry_after_s)
    shown = {"retry_after": error.retry_after_s, "what": error.what}
    response = _trouble(request, "429.html", shown, status=429)
    response["Retry-After"] = str(error.retry_after_s)
    return response


def _trouble(
    request: HttpRequest, template: str, shown: dict[str, Any], *, status: int
) -> HttpResponse:
    response = render(request, template, shown, status=status)
    _say_above_the_page(request, response)
    return response


def _say_above_the_page(request: HttpRequest, response: HttpResponse) -> None:
    """Trouble with a part of a page is said at its top; the form and its text stay as they are."""
    htmx = getattr(request, "htmx", None)
    if not htmx or htmx.boosted:
        return
    response["HX-Retarget"] = "#main > .wrap"
    response["HX-Reswap"] = "afterbegin show:top ignoreTitle:true"
    response["HX-Reselect"] = ".trouble"
