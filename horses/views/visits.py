"""The next visit: planned, moved, cancelled."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.answers import Conflict, Pair
from caseboard.lib.saved import saved
from horses.access import Standing, require, standing_get
from horses.forms.visit import VisitCancelForm, VisitPlanForm, offered_days
from horses.models import Visit
from horses.queries import last_trimmed_on, next_visit, team_for, visits_for
from horses.queries_flag import others_on
from horses.services.visits import VisitRefused
from horses.services.visits import visit_cancel as cancel
from horses.services.visits import visit_plan as plan
from horses.signed_in import SignedInRequest
from horses.views.page import board_url, case_page
from horses.wording import day_words, weeks_words


@require_http_methods(["GET", "POST"])
def visit_plan(request: SignedInRequest, case_id: str) -> HttpResponse:
    standing = standing_get(request.user, case_id)
    require(standing, "visit.plan")
    now = clock.now()
    planned = next_visit(standing.horse)
    form = _plan_form(request, standing, planned, timezone.localtime(now).date())
    if request.method != "POST":
        return _plan_page(request, standing, form, planned)
    if not form.is_valid():
        return _plan_page(request, standing, form, planned, status=422)
    data = form.cleaned_data
    try:
        plan(
            standing=standing, on=form.day, words=data["words"], version=data["version"], now=now
        )  # fmt: skip
    except VisitRefused as refusal:
        form.add_error("on", str(refusal))
        return _plan_page(request, standing, form, planned, status=422)
    except Conflict as conflict:
        planned = next_visit(standing.horse)
        if not _is_mine_already(planned, form):
            form.see(planned.version if planned else 0)
            pairs = conflict.pairs({"planned_on": "Day", "words": "In a few words"})
            return _plan_page(request, standing, form, planned, pairs=pairs, status=409)
    words = f"The next visit is on {day_words(form.day)}. The others are told."
    saved(request, words, keep=_plan_keep(standing))
    return redirect(board_url(standing))


def _plan_form(
    request: HttpRequest, standing: Standing, planned: Visit | None, today: Any
) -> VisitPlanForm:
    last_trim = last_trimmed_on(standing.horse)
    return VisitPlanForm(
        request.POST if request.method == "POST" else None,
        today=today,
        days=offered_days(today, last_trim, standing.horse.interval_days),
        last_trim=last_trim,
        initial={"version": planned.version if planned else 0},
    )


def _is_mine_already(planned: Visit | None, form: VisitPlanForm) -> bool:
    """The same form sent twice: the visit stands as it says."""
    stands = (planned.planned_on, planned.status_reason) if planned else None
    return stands == (form.day, form.cleaned_data["words"])


def _plan_keep(standing: Standing) -> str:
    return f"visit-{standing.case.public_id}"


def _plan_page(
    request: HttpRequest,
    standing: Standing,
    form: VisitPlanForm,
    planned: Visit | None,
    *,
    pairs: list[Pair] | None = None,
    status: int = 200,
) -> HttpResponse:
    shown = {
        "form": form,
        "planned": planned,
        "last_trim": last_trimmed_on(standing.horse),
        "interval": weeks_words(standing.horse.interval_days),
        "pairs": pairs,
        "readers": others_on(standing, team_for(standing)),
        "keep": _plan_keep(standing),
    }
    return case_page(request, standing, "horses/visit_plan.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def visit_cancel(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    standing = standing_get(request.user, case_id)
    require(standing, "visit.plan")
    visit = visits_for(standing).filter(public_id=visit_id, status=Visit.Status.PLANNED).first()
    if visit is None:
        raise Http404("no such planned visit")
    form = VisitCancelForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        cancel(
            standing=standing, public_id=visit_id, reason=form.cleaned_data["reason"],
            now=clock.now(),
        )  # fmt: skip
        saved(request, "The visit is cancelled. The others are told.", keep=f"cancel-{visit_id}")
        return redirect(board_url(standing))
    shown = {"form": form, "visit": visit, "keep": f"cancel-{visit_id}"}
    status = 422 if form.errors else 200
    return case_page(request, standing, "horses/visit_cancel.html", shown, status=status)
