"""One stop of a day: its horses moved, planned, cancelled, confirmed, put in order; a delay told."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.spans import counted
from caseboard.lib.text_safe import safe_line
from horses.access import CaseAccess, may
from horses.accounts.request import SignedInRequest
from horses.domain.wording import day_words
from horses.forms.day_stop import StopCancelForm, StopMoveForm
from horses.forms.keyed import KeyedForm
from horses.models import Visit
from horses.queries.looks import accesses_of
from horses.queries.stops import StopHorse, stop_horses
from horses.services.stops import (
    LATE_MINUTES,
    stop_cancel,
    stop_confirm,
    stop_late,
    stop_move,
    stop_order,
)
from horses.views.attempt import Answer, attempt

MOST = 60  # horses of one stop; house default


@require_http_methods(["GET", "POST"])
def day_stop(request: SignedInRequest) -> HttpResponse:
    now = clock.now()
    asked = request.POST if request.method == "POST" else request.GET
    kind = Visit.Kind.VET if asked.get("kind") == Visit.Kind.VET else Visit.Kind.FARRIER
    ids = [safe_line(one) for one in asked.getlist("c")[:MOST]]
    accesses = accesses_of(request.user, ids)
    if not ids:
        messages.warning(request, "No horse was named.")
        return redirect("round")
    if not accesses:
        raise Http404("no such horses")
    if request.method == "POST":
        return _done(request, accesses, kind, now)
    return _page(request, accesses, kind, now)


def _done(
    request: SignedInRequest, accesses: Sequence[CaseAccess], kind: str, now: datetime
) -> HttpResponse:
    do = "late" if "late" in request.POST else request.POST.get("do", "")
    if do == "move":
        return _move(request, accesses, kind, now)
    if do == "cancel":
        return _cancel(request, accesses, kind, now)
    form = KeyedForm(request.POST)
    form.is_valid()
    key = str(form.cleaned_data.get("client_key", ""))
    if do == "order":
        places = {
            access.case.public_id: _number(request.POST.get(f"n-{access.case.public_id}", ""))
            for access in accesses
        }
        known = {case_id: place for case_id, place in places.items() if place is not None}
        stop_order(accesses=accesses, kind=kind, places=known)
        messages.success(request, "The order is saved.")
        return _back()
    if do == "late":
        minutes = _number(request.POST.get("late", "")) or 0
        answer = attempt(
            form,
            lambda: stop_late(
                accesses=accesses, kind=kind, minutes=minutes, client_key=key, now=now
            ),
        )
        words = f"Told: about {counted(minutes, 'minute')} late. Ring as well where it matters."
    else:
        answer = attempt(
            form, lambda: stop_confirm(accesses=accesses, kind=kind, client_key=key, now=now)
        )
        words = f"Confirmed: {counted(len(answer.made or ()), 'horse')}. The others are told."
    if answer.made is None:
        messages.warning(request, " ".join(map(str, form.non_field_errors())))
    else:
        messages.success(request, words)
    return _back()


def _move(
    request: SignedInRequest, accesses: Sequence[CaseAccess], kind: str, now: datetime
) -> HttpResponse:
    horses = stop_horses(accesses, kind)
    form = StopMoveForm(request.POST, today=now.date(), planned_on=_day_of(horses))
    if not form.is_valid():
        return _page(request, accesses, kind, now, move=form, status=422)
    data = form.cleaned_data
    answer = attempt(
        form,
        lambda: stop_move(
            accesses=accesses,
            kind=kind,
            on=form.day,
            at=data["at"],
            words=data["words"],
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        return _page(request, accesses, kind, now, move=form, status=answer.status)
    horses_words = counted(len(answer.made), "horse")
    messages.success(
        request, f"{horses_words} on {day_words(form.day)}. The others are told once each."
    )
    return _back()


def _cancel(
    request: SignedInRequest, accesses: Sequence[CaseAccess], kind: str, now: datetime
) -> HttpResponse:
    form = StopCancelForm(request.POST)
    if not form.is_valid():
        return _page(request, accesses, kind, now, cancel=form, status=422)
    answer: Answer[list[Visit]] = attempt(
        form,
        lambda: stop_cancel(
            accesses=accesses,
            kind=kind,
            reason=form.cleaned_data["reason"],
            client_key=form.key,
            now=now,
        ),
    )
    if answer.made is None:
        return _page(request, accesses, kind, now, cancel=form, status=answer.status)
    messages.success(
        request, f"Cancelled: {counted(len(answer.made), 'horse')}. The others are told once each."
    )
    return _back()


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= len("999") else None


def _day_of(horses: Sequence[StopHorse]) -> date | None:
    days = [horse.visit.planned_on for horse in horses if horse.visit and horse.visit.planned_on]
    return min(days, default=None)


def _back() -> HttpResponse:
    return redirect(f"{reverse('round')}?days=7")


def _page(
    request: SignedInRequest,
    accesses: Sequence[CaseAccess],
    kind: str,
    now: datetime,
    *,
    move: StopMoveForm | None = None,
    cancel: StopCancelForm | None = None,
    status: int = 200,
) -> HttpResponse:
    horses = stop_horses(accesses, kind)
    planned = [horse for horse in horses if horse.visit]
    comes = [horse for horse in planned if horse.is_mine]
    shown: dict[str, Any] = {
        "horses": horses,
        "kind": kind,
        "planned": planned,
        "day": _day_of(horses),
        "may_plan": all(may(horse.access, "visit.plan") for horse in horses),
        "late": LATE_MINUTES if any(may(horse.access, "visit.late") for horse in comes) else (),
        "may_order": len(comes) > 1,
        "ordered": comes,
        "move": move or StopMoveForm(today=now.date(), planned_on=_day_of(horses)),
        "cancel": cancel or StopCancelForm(),
        "form": KeyedForm(),
    }
    return render(request, "horses/day_stop.html", shown, status=status)
