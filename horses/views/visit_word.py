""" "Was here": what somebody says who did not do the work, and what is asked about a day that passed."""

from datetime import date, datetime, timedelta
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import counted
from caseboard.lib.written import written_or
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.trim_cycle import interval_on
from horses.domain.wording import day_words
from horses.forms.visit import AROUND_DAYS
from horses.forms.visit_word import WasHereForm
from horses.models import Role, Visit
from horses.queries.visit_questions import (
    boards_at_place,
    planned_days,
    visit_said_of,
)
from horses.services.visit_vouch import report_confirm as confirm
from horses.services.visit_word import visit_deny, visit_report, visits_report
from horses.views.attempt import attempt, attempt_button
from horses.views.page import board_url, case_page

SAME_STOP = 2  # days apart at most: planned together; house default
ALL_HORSES = "tick_all"  # the button that comes back with every horse ticked
UNDO = "A wrong tap? Take it back on the board within ten minutes."


@require_http_methods(["GET", "POST"])
def was_here(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "visit.report")
    now = clock.now()
    boards = boards_at_place(request.user, access)
    form = _form(request, access, boards, written_or(now).date())
    if request.method != "POST" or ALL_HORSES in request.POST:
        return _page(request, access, boards, form)
    if not form.is_valid():
        return _page(request, access, boards, form, status=422)
    chosen = [board for board in boards if board.case.public_id in form.cleaned_data["horses"]]
    day = form.was_on
    assert day is not None  # clean() has seen to it
    answer = attempt(
        form,
        lambda: visits_report(
            boards=chosen,
            on=day,
            words=form.cleaned_data["words"],
            next_on=form.next_day,
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        return _page(request, access, boards, form, status=answer.status)
    made, not_made = answer.made
    for words in not_made:
        messages.warning(request, words)
    if not made:
        form.add_error(None, "Nothing was written down: see above.")
        return _page(request, access, boards, form, status=422)
    saved(request, f"{_made_words(made, day)} {UNDO}", keep=_keep(access))
    return redirect(board_url(access))


def _made_words(made: list[Visit], day: date) -> str:
    names = made[0].horse.name if len(made) == 1 else counted(len(made), "horse")
    return f"Written down for {names}, {day_words(day)}, as reported by you. The others are told."


def _form(
    request: SignedInRequest, access: CaseAccess, boards: list[CaseAccess], today: date
) -> WasHereForm:
    planned = planned_days(boards)
    initial: dict[str, Any] = {}
    posted = request.POST if request.method == "POST" else None
    about = planned.get(access.case.horse_id)
    if posted is not None and ALL_HORSES in posted:
        initial = posted.dict() | {"horses": [board.case.public_id for board in boards]}
        posted = None
    else:
        first = None if "place" in request.GET else access
        initial["horses"] = [b.case.public_id for b in boards if _meant(b, first, planned, today)]
    interval = timedelta(days=interval_on(access.horse, today).days)
    return WasHereForm(
        posted,
        today=today,
        horses=[(board.case.public_id, board.horse.name) for board in boards],
        next_days=[today + interval + timedelta(days=shift) for shift in AROUND_DAYS],
        planned_on=about if about is not None and about <= today else None,
        initial=initial,
    )


def _meant(
    board: CaseAccess, first: CaseAccess | None, planned: dict[int, date], today: date
) -> bool:
    """Ticked at first: the horse one comes from, and those that were expected about these days."""
    if first is not None and board.case.pk == first.case.pk:
        return True
    day = planned.get(board.case.horse_id)
    about = planned.get(first.case.horse_id) if first is not None else None
    return day is not None and abs((day - (about or today)).days) < SAME_STOP


def _keep(access: CaseAccess) -> str:
    return f"was-here-{access.case.public_id}"


def _page(
    request: SignedInRequest,
    access: CaseAccess,
    boards: list[CaseAccess],
    form: WasHereForm,
    *,
    status: int = 200,
) -> HttpResponse:
    shown = {
        "form": form,
        "keep": _keep(access),
        "several": len(boards) > 1,
        "count": len(boards),
        "place": access.horse.yard,
        "all_button": ALL_HORSES,
    }
    return case_page(request, access, "horses/was_here.html", shown, status=status)


@require_POST
def visit_asked(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    """Yes or no, about a visit whose day has passed; "moved" leads to the page that plans."""
    access = access_get(request.user, case_id)
    require(access, "visit.report")
    visit = visit_said_of(access, visit_id)
    if visit is None or visit.planned_on is None:
        raise Http404("no such visit")
    said, now, on = request.POST.get("said"), clock.now(), visit.planned_on
    if said == "yes":
        _, refused = attempt_button(lambda: _yes(access, visit, on, now))
    elif said == "no":
        _, refused = attempt_button(lambda: visit_deny(access=access, public_id=visit_id, now=now))
    else:
        return HttpResponseBadRequest("said yes or no")
    if refused:
        messages.warning(request, refused)
    else:
        messages.success(request, f"Written down. The others are told. {UNDO}")
    return redirect(_back(request, access))


@transaction.atomic
def _yes(access: CaseAccess, visit: Visit, on: date, now: datetime) -> Visit:
    """A vet who says so of the vet's visit confirms it with the same word."""
    said = visit_report(access=access, on=on, kind=visit.kind, visit_id=visit.public_id, now=now)
    if not (visit.is_vet_visit and access.role == Role.VET):
        return said
    return confirm(access=access, public_id=said.public_id, now=now)


def _back(request: SignedInRequest, access: CaseAccess) -> str:
    """The round, for whoever goes through a list of them; else the board."""
    return reverse("round") if request.POST.get("next") == "round" else board_url(access)


@require_POST
def report_confirm(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    left = request.POST.get("left", "")
    made, refused = attempt_button(
        lambda: confirm(access=access, public_id=visit_id, left=left, now=clock.now())
    )
    if made is None:
        messages.warning(request, refused)
    else:
        messages.success(request, "Confirmed: it stands in your name now. The others are told.")
    return redirect(_back(request, access))
