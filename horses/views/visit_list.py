"""The rhythm of a horse: its visits so far and to come, and the time between trims."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from caseboard.lib import clock
from caseboard.lib.errors import Pair
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.domain.foals import is_young
from horses.domain.trim_cycle import due_for, interval_on, usual_intervals
from horses.forms.interval import IntervalForm
from horses.models import Role, Visit
from horses.models.visit_life import VisitChange
from horses.presenters.picture_words import picture_shown
from horses.queries.board import last_trimmed_on, next_visit, team_for
from horses.queries.flags import others_on
from horses.queries.pictures import pictures_of_visits
from horses.queries.visit_questions import asked_days, trim_word
from horses.queries.visit_statistics import outcome_words, rhythm_for
from horses.services.interval import interval_set, may_set
from horses.services.visit_correct import may_correct
from horses.services.visit_planning import visit_confirm
from horses.services.visit_void import may_void
from horses.services.visit_word import may_take_back
from horses.views.attempt import attempt
from horses.views.page import board_url, case_page


@require_safe
def visit_list(request: SignedInRequest, case_id: str) -> HttpResponse:
    """Planned, kept, late, cancelled, said not to have been: plain counts for this team only."""
    access = access_get(request.user, case_id)
    require(access, "case.see")
    today = timezone.localtime(clock.now()).date()
    rhythm, pictures = rhythm_for(access), pictures_of_visits(access)
    horse, last = access.horse, last_trimmed_on(access.horse)
    planned = next_visit(horse)
    shown = {
        "today": today,
        "rhythm": rhythm,
        "ahead": rhythm.ahead,
        "behind": [
            (
                visit,
                outcome_words(visit),
                [picture_shown(p, access.person) for p in pictures.get(visit.pk, [])],
            )
            for visit in rhythm.behind
        ],
        "may_take_back": _may_take_back(access, rhythm.behind),
        "may_correct": _may_correct(access, rhythm.behind),
        "may_unsay": _may_unsay(access, rhythm.behind),
        "interval": interval_on(horse, today),
        "last_trim": last,
        "trim_word": trim_word(access, last),
        "due": due_for(
            horse,
            today=today,
            last_trim_on=last,
            planned_on=planned.planned_on if planned else None,
            asked_on=asked_days([horse.pk], today).get(horse.pk),
        ),
        "is_young": is_young(horse.born_on, today),
    }
    return case_page(request, access, "horses/visits.html", shown)


def _may_take_back(access: CaseAccess, visits: list[Visit]) -> frozenset[str]:
    """The visits that this person wrote up, or that a farrier did who has gone."""
    if not may(access, "visit.void"):
        return frozenset()
    open_to = [visit for visit in visits if visit.may_turn(VisitChange.TAKE_BACK)]
    return frozenset(visit.public_id for visit in open_to if may_void(access, visit))


def _may_correct(access: CaseAccess, visits: list[Visit]) -> frozenset[str]:
    if not may(access, "visit.correct"):
        return frozenset()
    open_to = [visit for visit in visits if visit.may_turn(VisitChange.CORRECT)]
    return frozenset(visit.public_id for visit in open_to if may_correct(access, visit))


def _may_unsay(access: CaseAccess, visits: list[Visit]) -> frozenset[str]:
    """What this person said of a visit, and what others said of this person's work."""
    if not may(access, "visit.report"):
        return frozenset()
    open_to = [visit for visit in visits if visit.may_turn(VisitChange.UNSAY)]
    return frozenset(visit.public_id for visit in open_to if may_take_back(access, visit))


@require_POST
def visit_confirm_now(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    button = forms.Form(request.POST)
    answer = attempt(
        button, lambda: visit_confirm(access=access, public_id=visit_id, now=clock.now())
    )
    if answer.made is None:
        messages.warning(request, " ".join(map(str, button.non_field_errors())))
    else:
        messages.success(request, "The day is confirmed. The others are told.")
    return redirect(board_url(access))


@require_http_methods(["GET", "POST"])
def interval(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "interval.set")
    now = clock.now()
    posted = request.POST if request.method == "POST" else None
    today = timezone.localtime(now).date()
    form = IntervalForm(posted, horse=access.horse, today=today, is_vet=access.role == Role.VET)
    if posted is None:
        return _interval_page(request, access, form)
    if not form.is_valid():
        return _interval_page(request, access, form, status=422)
    wish, version = form.wish, form.cleaned_data["version"]
    answer = attempt(form, lambda: interval_set(access=access, wish=wish, version=version, now=now))
    if answer.made is None:
        labels = {"interval": "Time between trims"}
        pairs = answer.conflict.pairs(labels) if answer.conflict else None
        return _interval_page(request, access, form, status=answer.status, pairs=pairs)
    saved(request, "Saved. The others are told.", keep=_keep(access))
    return redirect("visits", case_id)


def _keep(access: CaseAccess) -> str:
    return f"interval-{access.case.public_id}"


def _interval_page(
    request: HttpRequest,
    access: CaseAccess,
    form: IntervalForm,
    *,
    status: int = 200,
    pairs: list[Pair] | None = None,
) -> HttpResponse:
    shown: dict[str, Any] = {
        "form": form,
        "may_set": may_set(access),
        "interval": interval_on(access.horse, form.today),
        "usual": usual_intervals(access.horse, form.today),
        "pairs": pairs,
        "readers": others_on(access, team_for(access)),
        "keep": _keep(access),
    }
    return case_page(request, access, "horses/interval.html", shown, status=status)
