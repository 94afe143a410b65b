"""Handing over: what the newcomer will see, what the other one leaves open, and the asking."""

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access, fresh_wanted
from horses.forms.team import HandOverForm
from horses.models import Role
from horses.queries.handover import HandOver, hand_over_shown, member_get
from horses.services.handover import hand_over as hand_over_save
from horses.views.attempt import attempt
from horses.views.page import case_page
from horses.views.team import count_invitation


@require_http_methods(["GET", "POST"])
def hand_over(request: SignedInRequest, case_id: str, membership_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "team.hand_over", only_look=True)
    shown = hand_over_shown(access, member_get(access, membership_id))
    form = HandOverForm(
        request.POST if request.method == "POST" else None,
        boards=[(case.public_id, case.title) for case in shown.boards],
        name=str(shown.member.person),
    )
    keep = f"hand-over-{membership_id}"
    if form.is_valid():
        doing = f"hand over from {shown.member.person}"
        back = reverse("team", args=[case_id])
        if asked := fresh_wanted(request, doing=doing, back=back):
            return asked
        if _save(fresh_access(request, access), shown, form):
            saved(request, _words(shown, form), keep=keep)
            return redirect("team", case_id=case_id)
    member = shown.member
    is_vet = member.role == Role.VET
    context = {"shown": shown, "member": member, "is_vet": is_vet, "form": form, "keep": keep}
    status = 422 if form.errors else 200
    return case_page(request, access, "horses/hand_over.html", context, status=status)


def _save(access: CaseAccess, shown: HandOver, form: HandOverForm) -> bool:
    given, now = form.cleaned_data, clock.now()
    count_invitation(access, now)
    answer = attempt(
        form,
        lambda: hand_over_save(
            access=access,
            membership_id=shown.member.public_id,
            email=given["email"],
            board_ids=given["boards"],
            leaves_now=given["goes"] == "now",
            now=now,
        ),
    )
    return answer.made is not None


def _words(shown: HandOver, form: HandOverForm) -> str:
    person, email = shown.member.person, form.cleaned_data["email"]
    if form.cleaned_data["goes"] == "now":
        return f"{email} is asked to join. {person} is no longer on the team."
    return f"{email} is asked to join. When they are here, take {person} off the team."
