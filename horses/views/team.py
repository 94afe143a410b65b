"""The team of a case: who is on it, asking somebody to join, taking somebody off."""

from datetime import datetime

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.limits import limit_check
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access, fresh_wanted
from horses.forms.team import InviteForm
from horses.models import Membership, Role
from horses.queries.board import invitations_for, team_for
from horses.queries.handover import HANDED_OVER
from horses.queries.move import left_out_of
from horses.queries.team import confirmable
from horses.queries.yards import stay_of
from horses.services.invitations import invitation_create
from horses.services.invitations import invitation_resend as invitation_resend_save
from horses.services.invitations import invitation_revoke as invitation_revoke_save
from horses.services.team import member_remove as member_remove_save
from horses.views.attempt import attempt, attempt_button
from horses.views.member import member_get, refusal_of

HOUR_S = 3600


@require_safe
def team(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    now = clock.now()
    can = {action for action in ("team.invite", "team.remove") if may(access, action)}
    open_invitations = invitations_for(access).select_related("invited_by")
    members = team_for(access)
    shown = {
        "horse": access.horse,
        "case": access.case,
        "members": members,
        "me": access.person,
        "invitations": [(i, i.expires_at <= now) for i in open_invitations],
        "missing": [r.label for r in Role if r not in {m.role for m in members} and r != "carer"],
        "handed_over": HANDED_OVER if may(access, "team.hand_over") else (),
        "may_look": may(access, "case.look_as"),
        "confirmable": confirmable(access, members),
        "may_invite": "team.invite" in can,
        "may_remove": "team.remove" in can,
        "left_out": left_out_of(access) if may(access, "team.yard") else [],
        "may_move": may(access, "horse.move") and not access.case.is_concern,
        "stay": (stay := stay_of(access.horse)),
        "asks": stay is not None and not stay.is_yards_own and may(access, "team.yard"),
    }
    return render(request, "horses/team.html", shown)


@require_http_methods(["GET", "POST"])
def invite(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "team.invite", only_look=True)
    posted = request.POST if request.method == "POST" else None
    only = Role.OWNER if access.holds else None
    form = InviteForm(posted, only=only, initial={"role": only or request.GET.get("as", "")})
    keep = f"invite-{case_id}"
    if form.is_valid():
        doing = f"ask {form.cleaned_data['email']} to join the team of {access.horse}"
        if asked := fresh_wanted(request, doing=doing, back=_team_url(access)):
            return asked
        if _invite(fresh_access(request, access), form):
            address = form.cleaned_data["email"]
            saved(request, f"An invitation is on its way to {address}.", keep=keep)
            return redirect("team", case_id=case_id)
    shown = {"form": form, "keep": keep, "horse": access.horse, "case": access.case}
    status = 200 if posted is None else 422
    return render(request, "horses/invite.html", shown, status=status)


def _invite(access: CaseAccess, form: InviteForm) -> bool:
    now = clock.now()
    count_invitation(access, now)
    given = form.cleaned_data
    answer = attempt(
        form,
        lambda: invitation_create(
            access=access,
            email=given["email"],
            role=given["role"],
            stand_in=given.get("stand_in", False),
            now=now,
        ),
    )
    return answer.made is not None


@require_POST
def invitation_revoke(request: SignedInRequest, case_id: str, invitation_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    invitation_revoke_save(access=access, public_id=invitation_id, now=clock.now())
    saved(request, "The invitation is withdrawn. Its link opens nothing any more.")
    return redirect("team", case_id=case_id)


@require_POST
def invitation_resend(request: SignedInRequest, case_id: str, invitation_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "team.invite", only_look=True)
    doing = f"send the invitation to the team of {access.horse} again"
    if asked := fresh_wanted(request, doing=doing, back=_team_url(access)):
        return asked
    access, now = fresh_access(request, access), clock.now()
    count_invitation(access, now)
    made, refusal = attempt_button(
        lambda: invitation_resend_save(access=access, public_id=invitation_id, now=now)
    )
    if made is None:
        messages.error(request, refusal)
    else:
        saved(request, f"A new mail is on its way to {made.email}. The old link opens nothing.")
    return redirect("team", case_id=case_id)


def count_invitation(access: CaseAccess, now: datetime) -> None:
    limit_check(
        "invite",
        access.person.public_id,
        limit=settings.LIMIT_INVITATIONS,
        window_s=HOUR_S,
        now=now,
        what="invitations",
    )


@require_http_methods(["GET", "POST"])
def member_remove(request: SignedInRequest, case_id: str, membership_id: str) -> HttpResponse:
    """A page that asks once more; leaving is the same page for oneself."""
    access = access_get(request.user, case_id)
    member = member_get(access, membership_id)
    leaving = member.person_id == access.person.pk
    require(access, "team.leave" if leaving else "team.remove", only_look=True)
    refusal = ""
    if request.method == "POST":
        if not leaving and (asked := _fresh(request, access, member)):
            return asked
        refusal = refusal_of(member_remove_save, request, access, membership_id)
        if not refusal:
            return _gone(request, access, member, leaving=leaving)
    shown = {
        "member": member,
        "leaving": leaving,
        "horse": access.horse,
        "case": access.case,
        "refusal": refusal,
    }
    return render(request, "horses/member_remove.html", shown, status=422 if refusal else 200)


def _fresh(request: SignedInRequest, access: CaseAccess, member: Membership) -> HttpResponse | None:
    """A phone left lying about must not be enough to take somebody off the case."""
    doing = f"remove {member.person} from the team of {access.horse}"
    return fresh_wanted(request, doing=doing, back=_team_url(access))


def _team_url(access: CaseAccess) -> str:
    return reverse("team", args=[access.case.public_id])


def _gone(
    request: SignedInRequest, access: CaseAccess, member: Membership, *, leaving: bool
) -> HttpResponse:
    if leaving:
        saved(request, f"You have left the team of {access.horse}.")
        return redirect("horses")
    saved(request, f"{member.person} is no longer on the team.")
    return redirect("team", case_id=access.case.public_id)
