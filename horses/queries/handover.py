"""What there is to hand over when the vet or the farrier of a horse changes."""

from dataclasses import dataclass

from django.http import Http404

from horses.access import CaseAccess, access_on, audience_of
from horses.models import Case, Membership, Note, Role, Visit
from horses.queries.board import open_flags_for, team_for
from horses.queries.plan_lines import PlanLine, plan_for

HANDED_OVER = (Role.FARRIER, Role.VET)  # whose place another one takes


@dataclass(frozen=True)
class HandOver:
    """One member's place on a case, seen before another takes it."""

    member: Membership
    boards: list[Case]  # the open boards of the horse where the member's place can be given on
    to_do: list[PlanLine]  # their job, still open
    their_word: list[PlanLine]  # waiting for the word of their role
    visits: list[Visit]  # planned, of the kind that is their job
    urgent: bool  # a flag that cannot wait is open
    notes_for_role: (
        int  # notes for some roles only that the newcomer will read, and the owner reads
    )
    alone: bool  # nobody else on the team has the role


def member_get(access: CaseAccess, membership_id: str) -> Membership:
    for member in team_for(access):
        if member.public_id == membership_id and member.role in HANDED_OVER:
            return member
    raise Http404("no such vet or farrier")


def boards_shared(access: CaseAccess, member: Membership) -> list[Case]:
    """The horse's open boards where the person who asks may invite and the member has this role."""
    shared = Case.objects.filter(
        horse=access.horse,
        closed_at=None,
        memberships__person=member.person,
        memberships__role=member.role,
        memberships__left_at=None,
    )
    own = (access_on(access.person, case) for case in shared.order_by("pk"))
    return [there.case for there in own if there is not None and there.role == Role.OWNER]


def hand_over_shown(access: CaseAccess, member: Membership) -> HandOver:
    lines = plan_for(access, open_only=True)
    role = member.role
    visits = Visit.objects.planned().filter(horse=access.horse, kind=role)
    return HandOver(
        member=member,
        boards=boards_shared(access, member),
        to_do=[line for line in lines if line.version.who_does == role],
        their_word=[line for line in lines if line.state.marks.get(role) == "waiting"],
        visits=list(visits.order_by("planned_on")),
        urgent=any(flag.urgency == "now" for flag in open_flags_for(access)),
        notes_for_role=notes_for_role(access, role),
        alone=not any(m.role == role and m.pk != member.pk for m in team_for(access)),
    )


def notes_for_role(access: CaseAccess, role: str) -> int:
    """The notes for some roles only that a newcomer in this role will read, and whoever asks reads."""
    part_only = Note.objects.filter(case=access.case, audience__contains=f",{role},").filter(
        audience__contains=f",{access.role},"
    )
    return part_only.exclude(audience=audience_of(set(Role.values))).count()
