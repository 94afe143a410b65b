"""What the plans say to whoever is about to cut, as one person may read it."""

from collections.abc import Iterable, Sequence
from datetime import date

from horses.access import CaseAccess, access_of, active_memberships
from horses.domain.cut_items import CutItem, cut_item, in_order
from horses.queries.plan_lines import PlanLine, plan_for


def cut_items_for(
    access: CaseAccess, *, today: date, plan: Sequence[PlanLine] | None = None
) -> tuple[CutItem, ...]:
    """Of all open boards of the horse that the person is on: the warning may stand on a concern.

    `plan`: the open lines of this board, for a page that has read them already.
    """
    members = active_memberships(access.person).filter(
        case__horse=access.horse, case__closed_at=None
    )
    boards = {
        member.case_id: access_of(access.person, member)
        for member in members.select_related("case__horse").order_by("case_id")
    }
    lines = [*(plan_for(access, open_only=True) if plan is None else plan)]
    for pk, board in boards.items():
        if pk != access.case.pk:
            lines += plan_for(board, open_only=True)
    return cut_items_in(lines, today=today)


def cut_items_in(lines: Iterable[PlanLine], *, today: date) -> tuple[CutItem, ...]:
    """The same for a plan that was read already."""
    found = (
        cut_item(line.item, line.version, agreed=line.state.is_agreed, today=today)
        for line in lines
    )
    return in_order(item for item in found if item is not None)
