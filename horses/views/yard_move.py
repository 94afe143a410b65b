"""A horse comes to a yard, moves to another or leaves; who of the yard is on it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.access_yard import yard_access_get, yard_require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access, fresh_wanted
from horses.forms.yard_move import HorseMoveForm, YardChooseForm
from horses.queries.move import Move, move_shown, yards_to_move_to
from horses.queries.yards import horses_to_bring, stay_of
from horses.services.yard_move import asks_first_set
from horses.services.yard_move import horse_move as horse_move_save
from horses.services.yard_move import let_in as let_in_save
from horses.views.attempt import attempt, attempt_button
from horses.views.page import case_page

NO_YARD = "none"


@require_safe
def yard_bring(request: SignedInRequest, yard_id: str) -> HttpResponse:
    """One's own horses that stand at no yard; each leads to its own move, which says who comes."""
    access = yard_access_get(request.user, yard_id)
    yard_require(access, "yard.bring")
    shown = {"yard": access.yard, "cases": horses_to_bring(request.user)}
    return render(request, "horses/yard_bring.html", shown)


@require_http_methods(["GET", "POST"])
def horse_move(request: SignedInRequest, case_id: str) -> HttpResponse:
    """First where to; then, with who goes and who comes before one's eyes, the deed."""
    access = access_get(request.user, case_id)
    require(access, "horse.move", only_look=True)
    to = request.POST.get("to") or request.GET.get("to", "")
    if not to:
        return _choose(request, access)
    move = move_shown(access, "" if to == NO_YARD else to)
    posted = request.POST if request.method == "POST" else None
    form = HorseMoveForm(posted, move=move)
    if form.is_valid():
        back = reverse("board", args=[case_id])
        if asked := fresh_wanted(request, doing=f"move {access.horse}", back=back):
            return asked
        if _save(fresh_access(request, access), form, move):
            where = f"stands at {move.to}" if move.to else "stands at no yard"
            saved(request, f"{access.horse} {where} now.")
            return redirect("team", case_id=case_id)
        move = move_shown(access, "" if to == NO_YARD else to)
    shown = {
        "form": form,
        "fields": [field for field in form if field.name != "seen"],
        "move": move,
        "to": to,
        "seen": move.mark,
    }
    status = 200 if posted is None else 422
    return case_page(request, access, "horses/horse_move.html", shown, status=status)


def _choose(request: SignedInRequest, access: CaseAccess) -> HttpResponse:
    stay = stay_of(access.horse)
    yards = [(yard.public_id, yard.name) for yard in yards_to_move_to(access)]
    if stay is not None:
        yards.append((NO_YARD, f"Away from {stay.yard}, to no yard"))
    shown = {"choose": YardChooseForm(yards=yards), "stay": stay, "has_yards": bool(yards)}
    status = 422 if request.method == "POST" else 200
    return case_page(request, access, "horses/horse_move.html", shown, status=status)


def _save(access: CaseAccess, form: HorseMoveForm, move: Move) -> bool:
    given = form.cleaned_data
    answer = attempt(
        form,
        lambda: (
            horse_move_save(
                access=access,
                to_id=move.to.public_id if move.to else "",
                keep_ids=given.get("keep", ()),
                left_out_ids=given.get("left_out", ()),
                asks_first=given.get("asks_first", False),
                seen=given["seen"],
                now=clock.now(),
            )
            or True  # at no yard: done as well
        ),
    )
    return answer.made is not None


@require_POST
def yard_asks(request: SignedInRequest, case_id: str) -> HttpResponse:
    """Whether its owner is asked before somebody new of the yard comes on the horse."""
    access = access_get(request.user, case_id)
    require(access, "team.yard", only_look=True)
    back = reverse("team", args=[case_id])
    if asked := fresh_wanted(request, doing=f"decide who comes on {access.horse}", back=back):
        return asked
    fresh, first = fresh_access(request, access), request.POST.get("first") == "yes"
    made, refusal = attempt_button(
        lambda: asks_first_set(access=fresh, asks_first=first, now=clock.now())
    )
    if made is None:
        messages.error(request, refusal)
    elif first:
        saved(request, "You are asked first: nobody new of the yard comes by themself.")
    else:
        saved(request, "New people of the yard come on the horse at once.")
    return redirect("team", case_id=case_id)


@require_POST
def let_in(request: SignedInRequest, case_id: str, member_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "team.yard", only_look=True)
    back = reverse("team", args=[case_id])
    if asked := fresh_wanted(request, doing=f"let them on {access.horse}", back=back):
        return asked
    fresh = fresh_access(request, access)
    made, refusal = attempt_button(
        lambda: let_in_save(access=fresh, member_id=member_id, now=clock.now())
    )
    if made is None:
        messages.error(request, refusal)
    else:
        saved(request, f"{made.person} is on the team of {access.horse} now.")
    return redirect("team", case_id=case_id)
