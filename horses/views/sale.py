"""The sale of a horse as a guided deed, and undoing it or the end of the care."""

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.timezone import localdate
from django.views.decorators.http import require_http_methods, require_POST

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, access_on, require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access, fresh_wanted
from horses.forms.sale import SaleForm
from horses.models import Case, Membership
from horses.queries.board import team_for
from horses.queries.handover import notes_for_role
from horses.queries.sale import boards_to_pass, sale_open
from horses.services.endings import horse_end_undo
from horses.services.sales import horse_sell as horse_sell_save
from horses.services.sales import sale_undo
from horses.views.attempt import attempt, attempt_button
from horses.views.page import board_url, case_page
from horses.views.team import count_invitation


@require_http_methods(["GET", "POST"])
def horse_sell(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "horse.sell", only_look=True)
    now = clock.now()
    posted = request.POST if request.method == "POST" else None
    boards = boards_to_pass(access)
    form = SaleForm(posted, boards=boards, team=_team(access, boards), today=localdate(now))
    keep = f"sale-{case_id}"
    if form.is_valid():
        doing = f"sell {access.horse}"
        if asked := fresh_wanted(request, doing=doing, back=board_url(access)):
            return asked
        if _sell(fresh_access(request, access), form, now):
            address = form.cleaned_data["email"]
            saved(request, f"{address} is asked to join. Nobody leaves before that.", keep=keep)
            return redirect("horse_sell", case_id=case_id)
    shown = {
        "form": form,
        "keep": keep,
        "sale": sale_open(access.horse),
        "words": request.GET.get("words", "")[:200],
        "notes": notes_for_role(access, access.role),
    }
    status = 422 if form.errors else 200
    return case_page(request, access, "horses/horse_sell.html", shown, status=status)


def _team(access: CaseAccess, boards: list[Case]) -> list[Membership]:
    here = access_on(access.person, boards[0]) if boards else None
    return team_for(here or access)


def _sell(access: CaseAccess, form: SaleForm, now: datetime) -> bool:
    given = form.cleaned_data
    count_invitation(access, now)
    answer = attempt(
        form,
        lambda: horse_sell_save(
            access=access,
            email=given["email"],
            board_ids=given.get("boards", ()),
            leaver_ids=given.get("leavers", ()),
            leave_on=given["leave_on"],
            now=now,
        ),
    )
    return answer.made is not None


@require_POST
def horse_sell_undo(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "horse.sell", only_look=True)
    back = reverse("horse_sell", args=[case_id])
    if asked := fresh_wanted(request, doing=f"call off the sale of {access.horse}", back=back):
        return asked
    fresh = fresh_access(request, access)
    _, refusal = attempt_button(lambda: sale_undo(access=fresh, now=clock.now()))
    if refusal:
        messages.error(request, refusal)
    else:
        saved(request, "The sale is off. The links open nothing any more.")
    return redirect("horse_sell", case_id=case_id)


@require_POST
def horse_end_undo_now(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "horse.pause")
    made, refusal = attempt_button(lambda: horse_end_undo(access=access, now=clock.now()))
    if made is None:
        messages.error(request, refusal)
    else:
        saved(request, f"Undone. The care of {made} goes on, with the visits that were planned.")
    return redirect("board", case_id=case_id)
