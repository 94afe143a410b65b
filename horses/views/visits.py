"""The next visit: planned, moved, cancelled."""

from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict, Pair
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.trim_cycle import interval_on
from horses.domain.wording import day_words
from horses.forms.chosen_day import OTHER_DAY
from horses.forms.visit import VisitCancelForm, VisitPlanForm, offered_days
from horses.models import Membership, Visit
from horses.models.visit import ROLE_OF_KIND
from horses.queries.board import last_trimmed_on, next_visit, team_for, visits_for
from horses.queries.flags import others_on
from horses.services.visit_planning import visit_cancel as cancel
from horses.services.visit_planning import visit_plan as plan
from horses.views.attempt import attempt
from horses.views.page import board_url, case_page


@require_http_methods(["GET", "POST"])
def visit_plan(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "visit.plan")
    now = clock.now()
    kind = Visit.Kind.VET if request.GET.get("kind") == "vet" else Visit.Kind.FARRIER
    planned = next_visit(access.horse, kind)
    form = _plan_form(request, access, planned, timezone.localtime(now).date(), kind)
    if request.method != "POST":
        return _plan_page(request, access, form, planned, kind)
    if not form.is_valid():
        return _plan_page(request, access, form, planned, kind, status=422)
    data = form.cleaned_data
    answer = attempt(
        form,
        lambda: plan(
            access=access,
            on=form.day,
            at=data["at"],
            words=data["words"],
            version=data["version"],
            kind=kind,
            member_id=data["who"],
            moved_id=request.GET.get("moved", ""),
            now=now,
        ),
    )
    if answer.conflict is not None:
        planned = next_visit(access.horse, kind)
    if answer.made is None and not (answer.conflict and _is_mine_already(planned, form)):
        return _plan_page(
            request, access, form, planned, kind, conflict=answer.conflict, status=answer.status
        )
    what = "vet visit" if kind == Visit.Kind.VET else "next visit"
    words = f"The {what} is on {day_words(form.day)}. The others are told."
    saved(request, words, keep=_plan_keep(access, kind))
    return redirect(board_url(access))


def _plan_form(
    request: HttpRequest, access: CaseAccess, planned: Visit | None, today: date, kind: str
) -> VisitPlanForm:
    vets = kind == Visit.Kind.VET
    last_trim = None if vets else last_trimmed_on(access.horse)
    interval = interval_on(access.horse, last_trim or today)
    people = _people(access, kind)
    return VisitPlanForm(
        request.POST if request.method == "POST" else None,
        today=today,
        days=[] if vets else offered_days(today, last_trim, interval.days),
        last_trim=last_trim,
        people=[(member.public_id, _comes_words(member)) for member in people],
        initial={
            "version": planned.version if planned else 0,
            "quick": OTHER_DAY if vets else None,
            "at": planned.planned_time if planned else None,
            "who": _who_first(people, planned, request.GET.get("who") == "stand_in"),
        },
    )


def _people(access: CaseAccess, kind: str) -> list[Membership]:
    """Who could come: the farriers (or the vets) of the team, stand-ins last."""
    role = ROLE_OF_KIND[kind]
    return [member for member in team_for(access) if member.role == role]


def _comes_words(member: Membership) -> str:
    return f"{member.person}, stand-in" if member.stand_in else str(member.person)


def _who_first(people: list[Membership], planned: Visit | None, stand_in: bool) -> str:
    """The one marked at first: the stand-in when one was asked for, else who is expected."""
    expected = planned.planned_for_id if planned else None
    for member in people:
        if (member.stand_in and stand_in) or (not stand_in and member.person_id == expected):
            return member.public_id
    regular = [member for member in people if not member.stand_in]
    return regular[0].public_id if len(regular) == 1 and not stand_in else ""


def _is_mine_already(planned: Visit | None, form: VisitPlanForm) -> bool:
    """The same form sent twice: the visit stands as it says."""
    data = form.cleaned_data
    stands = (planned.planned_on, planned.planned_time, planned.status_reason) if planned else None
    return stands == (form.day, data["at"], data["words"])


def _plan_keep(access: CaseAccess, kind: str) -> str:
    return f"plan-{kind}-{access.case.public_id}"


def _plan_page(
    request: HttpRequest,
    access: CaseAccess,
    form: VisitPlanForm,
    planned: Visit | None,
    kind: str,
    *,
    conflict: Conflict | None = None,
    status: int = 200,
) -> HttpResponse:
    shown = {
        "form": form,
        "planned": planned,
        "conflict": conflict,
        "last_trim": last_trimmed_on(access.horse),
        "interval": interval_on(access.horse, form.today).words,
        "is_vet": kind == Visit.Kind.VET,
        "no_stand_in": request.GET.get("who") == "stand_in" and not form.initial["who"],
        "pairs": _pairs(conflict),
        "readers": others_on(access, team_for(access)),
        "keep": _plan_keep(access, kind),
    }
    return case_page(request, access, "horses/visit_plan.html", shown, status=status)


@require_http_methods(["GET", "POST"])
def visit_cancel(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "visit.plan")
    visit = visits_for(access).filter(public_id=visit_id).first()
    if visit is None or (request.method != "POST" and not visit.is_planned):
        raise Http404("no such planned visit")
    keep = f"cancel-{visit_id}"
    form = VisitCancelForm(
        request.POST if request.method == "POST" else None, initial={"version": visit.version}
    )
    shown = {"form": form, "visit": visit, "keep": keep}
    if not form.is_valid():
        status = 200 if request.method != "POST" else 422
        return case_page(request, access, "horses/visit_cancel.html", shown, status=status)
    data = form.cleaned_data
    answer = attempt(
        form,
        lambda: cancel(
            access=access,
            public_id=visit_id,
            reason=data["reason"],
            version=data["version"],
            now=clock.now(),
        ),
    )
    if answer.made is not None:
        saved(request, "The visit is cancelled. The others are told.", keep=keep)
        return redirect(board_url(access))
    visit.refresh_from_db()
    shown |= {"conflict": answer.conflict, "pairs": _pairs(answer.conflict)}
    if not visit.is_planned:
        shown["over"] = "There is no visit to cancel any more. Your words are kept below."
    return case_page(request, access, "horses/visit_cancel.html", shown, status=answer.status)


def _pairs(conflict: Conflict | None) -> list[Pair] | None:
    """Both sides of a conflict over a visit, in words."""
    if conflict is None:
        return None
    in_words = Conflict(_in_words(conflict.mine), _in_words(conflict.theirs))
    labels = {"status": "The visit", "planned_on": "Day", "words": "In a few words"}
    return in_words.pairs(labels)


def _in_words(fields: dict[str, Any]) -> dict[str, str]:
    words = dict(fields)
    if "planned_on" in words:
        words["planned_on"] = day_words(words["planned_on"])
    if "status" in words:
        words["status"] = Visit.Status(words["status"]).label
    return words
