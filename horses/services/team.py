"""Leaving a team and being removed from it, and saying that one knows somebody new."""

from datetime import datetime

from django.db import transaction
from django.http import Http404

from horses.access import TEAM_AUDIENCE, CaseAccess, require, team_lock
from horses.domain.newcomers import why_not_confirm
from horses.ledger.append import history_append
from horses.models import Membership, Role
from horses.notices.create import notify


class LastOwner(Exception):
    """A case without an owner has nobody who may remove people: the last one stays."""


class ConfirmRefused(Exception):
    """This person's word would not count, with the reason in words."""


@transaction.atomic
def member_confirm(*, access: CaseAccess, membership_id: str, now: datetime) -> Membership:
    """Somebody independent knows the new vet or farrier; said once, and never about an agreement."""
    by_id = {member.public_id: member for member in team_lock(access.case)}
    require(access, "team.confirm")
    member = by_id.get(membership_id)
    if member is None:
        raise Http404("no such member")
    if not member.is_new_here:
        return member  # somebody was quicker, or the button was pressed twice
    mine = next(m for m in by_id.values() if m.person_id == access.person.pk)
    of_horse = Membership.objects.filter(case__horse=access.horse)
    if reason := why_not_confirm(mine, member, list(of_horse)):
        raise ConfirmRefused(reason)
    member.confirmed_by, member.confirmed_at = access.person, now
    member.save(update_fields=["confirmed_by", "confirmed_at"])
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="team.confirmed",
        subject=member.person.public_id,
        after={"name": str(member.person), "role": member.role},
        now=now,
    )
    notify(
        event=f"team.confirmed:{member.public_id}",
        case=access.case,
        verb="team.confirmed",
        subject=f"{access.horse.name}: {access.person} knows {member.person}, "
        f"the new {Role(member.role).label}",
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    return member


@transaction.atomic
def member_remove(*, access: CaseAccess, membership_id: str, now: datetime) -> Membership:
    """An owner removes somebody, or somebody leaves. The last owner cannot go."""
    by_id = {member.public_id: member for member in team_lock(access.case)}
    member = by_id.get(membership_id)
    if member is None:
        raise Http404("no such member")
    leaving = member.person_id == access.person.pk
    require(access, "team.leave" if leaving else "team.remove")
    owners = [m for m in by_id.values() if m.role == Role.OWNER]
    if member.role == Role.OWNER and len(owners) == 1:
        raise LastOwner("The last owner cannot leave. Invite another owner first.")
    member.left_at, member.removed_by = now, access.person
    member.save(update_fields=["left_at", "removed_by"])
    verb = "team.left" if leaving else "team.removed"
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb=verb,
        subject=member.person.public_id,
        after={"name": str(member.person), "role": member.role},
        now=now,
    )
    notify(
        event=f"{verb}:{member.public_id}",
        case=access.case,
        verb=verb,
        subject=f"{access.horse.name}: {member.person} is no longer on the team",
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    return member
