"""Leaving a team and being removed from it: access ends with the commit."""

from datetime import datetime

from django.db import transaction
from django.http import Http404

from horses.access import TEAM_AUDIENCE, Standing, require, team_lock
from horses.history import history_append
from horses.models import Membership, Role
from horses.notices import notice_event


class LastOwner(Exception):
    """A case without an owner has nobody who may remove people: the last one stays."""


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
