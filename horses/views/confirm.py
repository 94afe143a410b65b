"""Saying that one knows a new vet or farrier: a page that says what is meant, and a button."""

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib.flash_saved import saved
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_wanted
from horses.queries.team import confirm_refusal
from horses.services.team import member_confirm as member_confirm_save
from horses.views.member import member_get, refusal_of
from horses.views.page import case_page


@require_http_methods(["GET", "POST"])
def member_confirm(request: SignedInRequest, case_id: str, membership_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "team.confirm", only_look=True)
    member = member_get(access, membership_id)
    refusal = confirm_refusal(access, member)
    if request.method == "POST" and not refusal:
        back = reverse("team", args=[case_id])
        doing = f"say that you know {member.person}"
        if asked := fresh_wanted(request, doing=doing, back=back):
            return asked
        refusal = refusal_of(member_confirm_save, request, access, membership_id)
        if not refusal:
            saved(request, f"Saved: you know {member.person}. The team is told.")
            return redirect("team", case_id=case_id)
    status = 422 if refusal and request.method == "POST" else 200
    shown = {"member": member, "refusal": refusal}
    return case_page(request, access, "horses/member_confirm.html", shown, status=status)
