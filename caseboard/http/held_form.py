"""The page that refuses a form holds the form: whole, with its key, so that it can be sent again.

Because the key goes along, a form that was saved after all is not saved twice. The page also shows
what was typed.

Decided 2026-11: the page of a 429 or a 503 holds the whole form with its key and sends it again.
Photos it cannot hold, and it says so.
"""

from typing import Any
from urllib.parse import urlsplit

from django.http import HttpRequest

# Carried along, but nothing that anybody typed.
NOT_TYPED = ("client_key", "version", "credential", "next", "action")
NOT_TYPED_PARTS = ("seen_", "fresh_", "sure-")


def held_form(request: HttpRequest) -> dict[str, Any]:
    """What templates/parts/held_form.html shows."""
    return {
        "carried": _carried(request),
        "typed": _typed(request),
        "had_files": bool(request.FILES),
        "is_read": request.method == "GET",
        "again": request.get_full_path(),
        "before": _page_before(request),
    }


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
