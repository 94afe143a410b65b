"""Who on a team is new, and about whom this person may say that they know them.

Decided 2026-11: a page that shows the team, the plan and other boards reads all memberships of the
horse once (`members_of_horse`) and hands them on. The road not taken: a prefetch on the case of the
access, which goes stale.
"""

from collections.abc import Iterable

from horses.access import CaseAccess, may
from horses.domain.newcomers import why_not_confirm
from horses.models import Membership
from horses.queries.board import members_of_horse


def confirmable(access: CaseAccess, team: Iterable[Membership]) -> frozenset[str]:
    """The ids of the newcomers whom this person's word would confirm."""
    new = [member for member in team if member.is_new_here]
    if not new or not may(access, "team.confirm"):
        return frozenset()
    rows = members_of_horse(access)
    mine = _mine(access, rows)
    return frozenset(m.public_id for m in new if not why_not_confirm(mine, m, rows))


def confirm_refusal(access: CaseAccess, member: Membership) -> str:
    """Why this person's word would not count about the member, or nothing."""
    rows = members_of_horse(access)
    return why_not_confirm(_mine(access, rows), member, rows)


def _mine(access: CaseAccess, rows: Iterable[Membership]) -> Membership:
    return next(
        row
        for row in rows
        if (row.case_id, row.person_id, row.left_at) == (access.case.pk, access.person.pk, None)
    )
