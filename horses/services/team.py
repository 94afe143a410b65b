"""Leaving a team and being removed from it, and saying that one knows somebody new."""

from datetime import datetime

from django.http import Http404

from horses.access import CaseAccess
from horses.domain.newcomers import why_not_confirm
from horses.models import Membership, Role
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.yard_people import left_out

HOLDS = "You hold this horse for its owner. Ask the owner to take it over, or end its care."


def member_confirm(*, access: CaseAccess, membership_id: str, now: datetime) -> Membership:
    """Somebody independent knows the new vet or farrier; said once, and never about an agreement."""
    with deed(access, "team.confirm", now=now, team_first=True) as act:
        member = _member(act, membership_id)
        if not member.is_new_here:
            return member  # somebody was quicker, or the button was pressed twice
        mine = next(m for m in act.team if m.person_id == access.person.pk)
        of_horse = Membership.objects.filter(case__horse=access.horse)
        if reason := why_not_confirm(mine, member, list(of_horse)):
            raise DeedRefused(reason)
        member.confirmed_by, member.confirmed_at = access.person, now
        member.save(update_fields=["confirmed_by", "confirmed_at"])
        after = {"name": str(member.person), "role": member.role}
        act.line("team.confirmed", member.person, after=after)
        knows = f"{access.person} knows {member.person}, the new {Role(member.role).label}"
        act.tell("team.confirmed", member, f"{access.horse.name}: {knows}")
        return member


def member_remove(*, access: CaseAccess, membership_id: str, now: datetime) -> Membership:
    """An owner removes somebody, or somebody leaves. The last owner cannot go: a case without one
    has nobody who may remove people. Somebody of a yard whom an owner removes from its standing care
    is left out of the horse until they are let in again."""
    leaving = Membership.objects.filter(public_id=membership_id, person=access.person).exists()
    action = "team.leave" if leaving else "team.remove"
    with deed(access, action, now=now, team_first=True) as act:
        member = _member(act, membership_id)
        owners = [m for m in act.team if m.role == Role.OWNER]
        if member.role == Role.OWNER and len(owners) == 1:
            raise DeedRefused("The last owner cannot leave. Invite another owner first.")
        if member.holds:
            raise DeedRefused(HOLDS)
        member.left_at, member.removed_by = now, access.person
        member.save(update_fields=["left_at", "removed_by"])
        left_out(member, by=access.person, now=now)
        verb = "team.left" if leaving else "team.removed"
        after = {"name": str(member.person), "role": member.role}
        act.line(verb, member.person, after=after)
        subject = f"{access.horse.name}: {member.person} is no longer on the team"
        act.tell(verb, member, subject)
        return member


def _member(act: Deed, membership_id: str) -> Membership:
    for member in act.team:
        if member.public_id == membership_id:
            return member
    raise Http404("no such member")
