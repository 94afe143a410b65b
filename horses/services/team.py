"""Leaving a team and being removed from it, and saying that one knows somebody new."""

from datetime import datetime

from django.db import transaction
from django.http import Http404

from horses.access import TEAM_AUDIENCE, Standing, require, team_lock
from horses.domain.newcomers import why_not_confirm
from horses.ledger.append import history_append
from horses.models import Membership, Role
from horses.notices.create import notice_event


class LastOwner(Exception):
    """A case without an owner has nobody who may remove people: the last one stays."""


class ConfirmRefused(Exception):
    """This person's word would not count, with the reason in words."""


@transaction.atomic
def member_confirm(*, standing: Standing, membership_id: str, now: datetime) -> Membership:
    """Somebody independent knows the new vet or farrier; said once, and never about an agreement."""
    by_id = {member.public_id: member for member in team_lock(standing.case)}
    require(standing, "team.confirm")
    member = by_id.get(membership_id)
    if member is None:
        raise Http404("no such member")
    if not member.is_new_here:
        return member  # somebody was quicker, or the button was pressed twice
    mine = next(m for m in by_id.values() if m.person_id == standing.person.pk)
    of_horse = Membership.objects.filter(case__horse=standing.horse)
    if reason := why_not_confirm(mine, member, list(of_horse)):
        raise ConfirmRefused(reason)
    member.confirmed_by, member.confirmed_at = standing.person, now
    member.save(update_fields=["confirmed_by", "confirmed_at"])
    history_append(
        case=standing.case, actor=standing.person, role=standing.role, verb="team.confirmed",
        subject=member.person.public_id,
        after={"name": str(member.person), "role": member.role}, now=now,
    )  # fmt: skip
    notice_event(
        event=f"team.confirmed:{member.public_id}", case=standing.case, verb="team.confirmed",
        subject=f"{standing.horse.name}: {standing.person} knows {member.person}, "
        f"the new {Role(member.role).label}",
        audience=TEAM_AUDIENCE, actor=standing.person, now=now,
    )  # fmt: skip
    return member


@transaction.atomic
def member_remove(*, standing: Standing, membership_id: str, now: datetime) -> Membership:
    """An owner removes somebody, or somebody leaves. The last owner cannot go."""
    by_id = {member.public_id: member for member in team_lock(standing.case)}
    member = by_id.get(membership_id)
    if member is None:
        raise Http404("no such member")
    leaving = member.person_id == standing.person.pk
    require(standing, "team.leave" if leaving else "team.remove")
    owners = [m for m in by_id.values() if m.role == Role.OWNER]
    if member.role == Role.OWNER and len(owners) == 1:
        raise LastOwner("The last owner cannot leave. Invite another owner first.")
    member.left_at, member.removed_by = now, standing.person
    member.save(update_fields=["left_at", "removed_by"])
    verb = "team.left" if leaving else "team.removed"
    history_append(
        case=standing.case, actor=standing.person, role=standing.role, verb=verb,
        subject=member.person.public_id,
        after={"name": str(member.person), "role": member.role}, now=now,
    )  # fmt: skip
    notice_event(
        event=f"{verb}:{member.public_id}", case=standing.case, verb=verb,
        subject=f"{standing.horse.name}: {member.person} is no longer on the team",
        audience=TEAM_AUDIENCE, actor=standing.person, now=now,
    )  # fmt: skip
    return member
