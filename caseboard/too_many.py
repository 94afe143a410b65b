"""The page for "too many in a short while": how long to wait, and all that was typed.

It holds the whole form, hidden, and sends it again to the same address, key and all: what was saved
after all is not saved twice. What a person can read of it is shown as well.
"""

from urllib.parse import urlsplit

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from caseboard.lib.answers import TooMany
from caseboard.lib.logs import logger
from caseboard.lib.spans import counted

log = logger("caseboard.pages")
# Carried along, but nothing that anybody typed.
NOT_TYPED = ("client_key", "version", "credential", "next", "action")
NOT_TYPED_PARTS = ("seen_", "fresh_", "sure-")


def too_many_page(request: HttpRequest, error: TooMany) -> HttpResponse:
    # The page's name and not its address, which may be somebody's way in.
    page = request.resolver_match.view_name if request.resolver_match else ""
    log.warning("too_many", page=page, what=error.what, retry_after_s=error.retry_after_s)
    shown = {
        "wait": wait_words(error.retry_after_s),
        "what": error.what,
        "carried": _carried(request),
        "typed": _typed(request),
        "had_files": bool(request.FILES),
        "again": request.get_full_path(),
        "before": _page_before(request),
    }
    response = render(request, "429.html", shown, status=429)
    response["Retry-After"] = str(error.retry_after_s)
    response["Cache-Control"] = "private, no-store"
    return response


def wait_words(seconds: int) -> str:
    if seconds < 100:
        return counted(seconds, "second")
    return counted(-(-seconds // 60), "minute")


def _carried(request: HttpRequest) -> list[tuple[str, str]]:
    return [
        (name, value)
        for name, values in request.POST.lists()
        if name != "csrfmiddlewaretoken"
        for value in values
    ]


def _typed(request: HttpRequest) -> list[tuple[str, str]]:
    """What was typed, by the fields' own names made readable."""
    found = []
    for name, values in request.POST.lists():
        written = ", ".join(value for value in values if value.strip())
        if name == "csrfmiddlewaretoken" or name in NOT_TYPED or not written:
            continue
        if name.startswith(NOT_TYPED_PARTS):
            continue
        label = name.replace("_", " ").replace("-", " ")
        found.append((label[:1].upper() + label[1:], "yes" if written == "on" else written))
    return found


def _page_before(request: HttpRequest) -> str:
    """Where the form was, when that is a page of ours."""
    came = urlsplit(request.headers.get("Referer", ""))
    if came.netloc != request.get_host() or came.path == request.path:
        return ""
    return came.path + (f"?{came.query}" if came.query else "")
