"""The page for "too many in a short while": how long to wait, and all that was typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from caseboard.http.held_form import held_form
from caseboard.lib.errors import TooMany
from caseboard.lib.logging.fields import logger
from caseboard.lib.spans import counted

log = logger("caseboard.pages")


def too_many_page(request: HttpRequest, error: TooMany) -> HttpResponse:
    # The page's name and not its address, which may be somebody's way in.
    page = request.resolver_match.view_name if request.resolver_match else ""
    log.warning("too_many", page=page, what=error.what, retry_after_s=error.retry_after_s)
    shown = {"wait": wait_words(error.retry_after_s), "what": error.what, **held_form(request)}
    response = render(request, "429.html", shown, status=429)
    response["Retry-After"] = str(error.retry_after_s)
    response["Cache-Control"] = "private, no-store"
    return response


def wait_words(seconds: int) -> str:
    if seconds < 100:
        return counted(seconds, "second")
    return counted(-(-seconds // 60), "minute")
