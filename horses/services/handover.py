"""Handing over from one vet or farrier to another: the newcomer is asked, the other one goes."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from horses.access import CaseAccess, access_on, require
from horses.models import Invitation, Membership, Role
from horses.queries.handover import boards_shared, member_get
from horses.services.deed import DeedRefused, deed
from horses.services.invitations import invitation_create
from horses.services.team import member_remove


def hand_over(
    *,
    access: CaseAccess,
    membership_id: str,
    email: str,
    board_ids: Sequence[str],
    leaves_now: bool,
    now: datetime,
) -> list[Invitation]:
    """Asks the newcomer to join in the member's role on each board; the member stays until they
    are taken off, or goes at once. All or nothing."""
    with deed(access, "team.hand_over", now=now) as act:
        if leaves_now:
            require(access, "team.remove")
        member = member_get(access, membership_id)
        boards = [case for case in boards_shared(access, member) if case.public_id in board_ids]
        if not boards:
            raise DeedRefused("Choose at least one board.", field="boards")
        made = []
        for case in boards:
            here = access_on(access.person, case)
            assert here is not None  # boards_shared has looked
            there = replace(here, fresh=access.fresh)
            made.append(invitation_create(access=there, email=email, role=member.role, now=now))
            after = {"name": str(member.person), "role": Role(member.role).value, "email": email}
            act.on(there).line("team.hand_over", member.person, after=after)
            if leaves_now:
                place = Membership.objects.get(case=case, person=member.person, left_at=None)
                member_remove(access=there, membership_id=place.public_id, now=now)
        return made
