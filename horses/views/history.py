"""The history of a case: everything that this person may read, newest first."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_safe

from caseboard.lib import clock
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.history import KINDS, HistoryForm
from horses.queries.history import history_found, lines_shown, people_in
from horses.services.cases import case_mark_seen
from horses.views.page import case_page

PAGE_LINES = 50
MOST_DIGITS = 9  # of a line's number in an address


@require_safe
def history(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    form = HistoryForm(request.GET, people=people_in(access))
    form.is_valid()
    wanted = form.wanted
    page = Paginator(_found(access, wanted), PAGE_LINES).get_page(request.GET.get("page"))
    looks_at_newest = not wanted and page.number == 1
    lines = lines_shown(access, list(page), seen_seq=_seen_seq(request, access, looks_at_newest))
    shown = {
        "form": form,
        "lines": lines,
        "page": page,
        "is_filtered": bool(wanted),
        "some_new": any(line.is_new for line in lines),
        "newer": _address(request.GET, page.number - 1),
        "older": _address(request.GET, page.number + 1),
    }
    return case_page(request, access, "horses/history.html", shown)


def _found(access: CaseAccess, wanted: dict[str, Any]) -> Any:
    wanted = dict(wanted)
    kind = wanted.pop("kind", "")
    return history_found(access, verbs=KINDS[kind][1] if kind else (), **wanted)


def _seen_seq(request: HttpRequest, access: CaseAccess, looks_at_newest: bool) -> int:
    """How far this person had read before. The board, which counts as reading, hands it on in the
    address (`seen`); only the newest lines without a search count as having read."""
    handed = request.GET.get("seen", "")
    before = case_mark_seen(access=access, now=clock.now()) if looks_at_newest else 0
    if handed.isascii() and handed.isdigit() and len(handed) <= MOST_DIGITS:
        return int(handed)
    return before


def _address(query: QueryDict, number: int) -> str:
    """The same search on another page."""
    query = query.copy()
    query["page"] = str(number)
    return f"?{query.urlencode()}"
