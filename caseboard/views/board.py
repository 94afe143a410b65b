"""The board of one case, and the part of it that asks for someone now."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from caseboard.board import board_for
from caseboard.case_reading import CaseReading
from caseboard.glance.screen import first_screen
from caseboard.lib import clock
from caseboard.lib.fetched_ahead import is_fetched_ahead
from horses.access import access_get
from horses.accounts.request import SignedInRequest
from horses.queries.board import open_cases_of
from horses.services.cases import case_mark_seen

# In the pane of a wide screen; the list of horses has them all. House default.
MOST_BOARDS = 60


@require_GET
def board(request: SignedInRequest, case_id: str) -> HttpResponse:
    now = clock.now()
    access = access_get(request.user, case_id)
    seen_seq = case_mark_seen(access=access, now=now, only_look=is_fetched_ahead(request))
    context = _context(CaseReading(access, now), seen_seq)
    context["boards"] = open_cases_of(request.user)[:MOST_BOARDS]
    return render(request, "caseboard/board.html", context)


@require_GET
def board_now(request: SignedInRequest, case_id: str) -> HttpResponse:
    """Only what needs someone now, for a page that stays open."""
    now = clock.now()
    access = access_get(request.user, case_id)
    context = _context(CaseReading(access, now), access.case.last_seq)
    return render(request, "caseboard/board_now.html", context)


def _context(reading: CaseReading, seen_seq: int) -> dict[str, Any]:
    board = board_for(reading, seen_seq=seen_seq)
    return {"board": board, "first": first_screen(board, reading.numbers), "now": reading.now}
