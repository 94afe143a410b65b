"""Taking back what somebody said of a visit: at once for ten minutes, after that with a reason."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import counted
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.visit_word import TakeBackWordForm
from horses.models.visit_life import VisitChange
from horses.queries.visit_questions import said_together, visit_said_of
from horses.services.visit_word import may_take_back, may_undo
from horses.views.attempt import attempt, attempt_button
from horses.views.page import board_url, case_page
from measurements.services.report_back import reports_take_back

ALL = "all"  # the button that takes back what was said of other horses in the same breath


@require_http_methods(["GET", "POST"])
def report_back(request: SignedInRequest, case_id: str, visit_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "visit.report")
    visit, now = visit_said_of(access, visit_id), clock.now()
    if visit is None or visit.reported_at is None:
        raise Http404("no such report")
    if not may_take_back(access, visit):
        raise PermissionDenied(f"{visit.reported_name} said this. Ask them to take it back.")
    stands, at_once = visit.may_turn(VisitChange.UNSAY), may_undo(access, visit, now)
    together = said_together(access, visit) if at_once else []
    said = [(access, visit), *(together if ALL in request.POST else [])]
    if request.method == "POST" and (at_once or not stands):
        made, refused = attempt_button(lambda: reports_take_back(said=said, now=now))
        if made is None:
            messages.warning(request, refused)
        else:
            messages.success(request, f"Taken back for {counted(len(made), 'horse')}.")
        return redirect(board_url(access))
    form = TakeBackWordForm(request.POST if request.method == "POST" else None)
    shown = {"form": form, "visit": visit, "at_once": at_once, "stands": stands}
    shown |= {"together": len(together), "keep": f"report-back-{visit_id}"}
    if not form.is_valid():
        status = 200 if request.method != "POST" else 422
        return case_page(request, access, "measurements/report_back.html", shown, status=status)
    reason = form.cleaned_data["reason"]
    answer = attempt(form, lambda: reports_take_back(said=said, reason=reason, now=now))
    if answer.made is None:
        return case_page(
            request, access, "measurements/report_back.html", shown, status=answer.status
        )
    saved(request, "Taken back. The others are told.", keep=f"report-back-{visit_id}")
    return redirect(board_url(access))
