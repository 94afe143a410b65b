"""Taking back a visit that was written up by mistake: what goes with it is shown before."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.wording import day_words
from horses.models import Visit
from horses.queries.board import visits_for
from horses.services.visit_planning import VisitRefused
from horses.services.visit_void import may_void
from horses.views.page import case_page
from measurements.forms.visit_void import VisitVoidForm
from measurements.queries.visit_readings import visit_readings
from measurements.services.visit_void import visit_take_back


@require_http_methods(["GET", "POST"])
def visit_void(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "visit.void")
    visit = visits_for(access).filter(public_id=visit_id).first()
    if visit is None or visit.status not in (Visit.Status.KEPT, Visit.Status.VOIDED):
        raise Http404("no such visit")
    if not may_void(access, visit):
        raise PermissionDenied(
            f"{visit.person_name} wrote this visit up. Ask them to take it back."
        )
    form = VisitVoidForm(request.POST if request.method == "POST" else None)
    keep = f"visit-void-{visit_id}"
    shown: dict[str, Any] = {
        "visit": visit, "form": form, "keep": keep,
        "readings": len(visit_readings(visit)),
        "outcomes": visit.outcomes.filter(version__item__case=access.case).select_related(
            "version__item"
        ),
    }  # fmt: skip
    status = 200
    if form.is_valid():
        try:
            visit_take_back(
                access=access, public_id=visit_id, reason=form.cleaned_data["reason"],
                now=clock.now(),
            )  # fmt: skip
        except VisitRefused as refusal:
            form.add_error("reason", str(refusal))
        except Conflict as conflict:
            visit.refresh_from_db()
            shown |= {"conflict": conflict, "pairs": conflict.pairs({"reason": "Why"})}
            status = 409
        else:
            assert visit.kept_on is not None
            words = f"The visit of {day_words(visit.kept_on)} is taken back. The others are told."
            saved(request, words, keep=keep)
            return redirect("visits", case_id)
    if form.errors:
        status = 422
    return case_page(request, access, "measurements/visit_void.html", shown, status=status)
