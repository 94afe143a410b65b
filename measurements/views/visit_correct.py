"""A written-up visit, filled in again to be put right."""

from dataclasses import replace
from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.models import PlanItemOutcome, Role, Visit
from horses.queries.board import next_visit, visits_for
from horses.queries.plan_lines import PlanLine, plan_for
from horses.queries.shoes import last_shoeing
from horses.queries.versions import next_day_of, visit_in_force, visit_versions
from horses.services.idempotency import key_used
from horses.services.visit_correct import NO_OTHER, may_correct
from horses.views.attempt import attempt
from measurements.forms.visit_correct import VisitCorrectForm, as_written_up
from measurements.forms.visit_fill import FILL_BUTTON, ShoeFills
from measurements.panels.visit_set import VisitSet, visit_set
from measurements.queries.kept_that_day import kept_that_day
from measurements.queries.numbers import Numbers, numbers_of
from measurements.queries.numbers_kept import numbers_kept
from measurements.queries.picture_points import own_points
from measurements.queries.visit_readings import visit_readings
from measurements.queries.visit_setup import visit_setup_of
from measurements.services.visit_correct import visit_put_right, without_duplicates
from measurements.views.visit_page import VisitPage
from measurements.views.visit_record import filled_in, shoe_fills, shoes_keep

REUSED = (
    "This correction was saved before with other content; look at the visit as it stands now, then "
    "save once more."
)
LABELS = {"words": "In a few words", "reason": "Why it is corrected"}


@require_http_methods(["GET", "POST"])
def visit_correct(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "visit.correct")
    asked = _written_up(access, visit_id)
    visit = visit_in_force(asked)
    if request.method == "GET" and visit != asked:
        return redirect("visit_correct", case_id=case_id, visit_id=visit.public_id)
    if request.method == "GET" and visit.is_voided:
        return redirect("visit_void", case_id=case_id, visit_id=visit.public_id)
    page = _page(request, access, visit)
    if request.method == "GET" or FILL_BUTTON in request.POST:
        return page.answer(200)
    return _save(request, page, asked, visit)


def _written_up(access: CaseAccess, visit_id: str) -> Visit:
    visits = visits_for(access).written_up().filter(kind=Visit.Kind.FARRIER)
    visit = visits.filter(public_id=visit_id).first()
    if visit is None:
        raise Http404("no such visit")
    if not may_correct(access, visit):
        raise PermissionDenied(NO_OTHER.format(visit.person_name))
    return visit


def _save(request: SignedInRequest, page: VisitPage, asked: Visit, visit: Visit) -> HttpResponse:
    form, access = page.form, page.access
    if not form.is_valid():
        return page.answer(422)
    data = form.cleaned_data
    answer = attempt(
        form,
        lambda: visit_put_right(
            access=access,
            public_id=asked.public_id,
            kept_on=data["kept_on"],
            work=form.work,
            readings=form.readings,
            words=data["words"],
            outcomes=form.outcomes,
            reason=data["reason"],
            next_on=data.get("next_on"),
            next_asked="next_on" in data,
            client_key=form.key,
            now=clock.now(),
        ),
        sent_before=REUSED,
    )
    if answer.conflict is not None:
        page.shown |= {"conflict": answer.conflict, "pairs": answer.conflict.pairs(LABELS)}
    if answer.made is None:
        return page.answer(answer.status)
    shoes_keep(request, form)
    told = form.next.told()
    words = f"The visit is corrected. The version before stays, struck through. {told}".strip()
    saved(request, words, keep=page.keep)
    return redirect("visits", case_id=access.case.public_id)


def _page(request: SignedInRequest, access: CaseAccess, visit: Visit) -> VisitPage:
    today = clock.now().date()
    versions = visit_versions(visit)
    numbers = numbers_of(access.horse, today=today, without=versions)
    setup = visit_setup_of(request.user)
    # The fields stand where they stood.
    offered = visit_set(numbers_kept(access.horse, today=today), setup, access.role, today)
    last = last_shoeing(access.horse, without=visit)
    fills = shoe_fills(request, numbers, last, setup)
    form = _form(request, access, visit, versions, numbers, offered, fills)
    return VisitPage(
        request,
        access,
        numbers,
        offered,
        form,
        fills,
        setup,
        keep=f"visit-correct-{visit.public_id}",
        shown={"correcting": visit},
    )


def _form(
    request: SignedInRequest,
    access: CaseAccess,
    visit: Visit,
    versions: list[Visit],
    numbers: Numbers,
    offered: VisitSet,
    fills: ShoeFills,
) -> VisitCorrectForm:
    taken = without_duplicates(visit_readings(visit))
    here = visit.outcomes.filter(version__item__case=access.case)
    marks = list(here.select_related("version__item"))
    initial: dict[str, Any] = as_written_up(visit, taken, marks, numbers)
    if fills.pressed:
        initial = filled_in(offered, fills)
    return VisitCorrectForm(
        request.POST if request.method == "POST" and not fills.pressed else None,
        initial=initial,
        visit=visit,
        taken=taken,
        marks=marks,
        next_own=next_day_of(versions),
        numbers=numbers,
        offered=offered,
        plan=_plan(access, marks),
        booked=next_visit(access.horse),
        today=clock.now().date(),
        length_unit=request.user.length_unit,
        side_words=request.user.side_words,
        kept_by=partial(kept_that_day, access, but=visit),
        sent_before=partial(key_used, access.person),
        points_by=partial(own_points, access),
    )


def _plan(access: CaseAccess, marks: list[PlanItemOutcome]) -> list[PlanLine]:
    """The farrier's items, those that were marked with the words they were marked on."""
    marked = {mark.version.item_id: mark.version for mark in marks}
    return [
        replace(line, version=marked.get(line.item.pk, line.version))
        for line in plan_for(access)
        if line.item.pk in marked or line.version.who_does == Role.FARRIER
    ]
