"""Barefoot or shod: the worksheet, which ends as a proposed plan item."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.models import PlanItem, Role
from horses.queries.board import team_for
from horses.queries.flags import others_on
from horses.services.plan import ItemContent, plan_item_propose
from horses.views.attempt import attempt
from horses.views.page import case_page
from measurements.forms.worksheet import WorksheetForm
from measurements.panels.worksheet import Worksheet, worksheet_for
from measurements.panels.worksheet_vet import VetToAsk, vet_to_ask
from measurements.queries.numbers_kept import numbers_kept

ASKED = "Proposed. The others are asked to agree."
OPEN = "Something of the vet’s is open."


@require_http_methods(["GET", "POST"])
def worksheet(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    if request.method != "POST":
        return _page(request, access, WorksheetForm())
    require(access, "plan.propose")
    form = WorksheetForm(request.POST)
    if not form.is_valid():
        return _page(request, access, form, status=422)
    sheet, vet = _sheet(access)
    vets_open = sheet.vets_open
    content = ItemContent(
        kind=PlanItem.Kind.SHOE,
        therapeutic=False,
        text=form.text(vets_open),
        who_does=Role.FARRIER,
        reason=form.why(vets_open),
    )
    answer = attempt(
        form,
        lambda: plan_item_propose(
            access=access, content=content, client_key=form.key, now=clock.now()
        ),
    )
    if answer.made is None:
        return _page(request, access, form, status=answer.status)
    words = ASKED
    if form.asks_vet(vets_open):
        words = f"{ASKED} {OPEN} {vet.words}"
    saved(request, words, keep=_keep(access))
    return redirect("plan_item", case_id, answer.made.public_id)


def _sheet(access: CaseAccess) -> tuple[Worksheet, VetToAsk]:
    today = timezone.localtime(clock.now()).date()
    numbers = numbers_kept(access.horse, today=today)
    return worksheet_for(access, numbers, today), vet_to_ask(access, numbers)


def _keep(access: CaseAccess) -> str:
    return f"worksheet-{access.case.public_id}"


def _page(
    request: HttpRequest, access: CaseAccess, form: WorksheetForm, *, status: int = 200
) -> HttpResponse:
    sheet, vet = _sheet(access)
    shown = {
        "form": form,
        "sheet": sheet,
        "vet": vet,
        "readers": others_on(access, team_for(access)),
        "keep": _keep(access),
    }
    return case_page(request, access, "measurements/worksheet.html", shown, status=status)
