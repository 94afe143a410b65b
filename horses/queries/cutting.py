"""What the plans say to whoever is about to cut, as one person may read it."""

from collections.abc import Iterable
from datetime import date

from horses.access import CaseAccess, active_memberships
from horses.domain.cut_items import CutItem, cut_item, in_order
from horses.models import Role
from horses.queries.plan_lines import PlanLine, plan_for


def cut_items_for(access: CaseAccess, *, today: date) -> tuple[CutItem, ...]:
    """Of all open boards of the horse that the person is on: the warning may stand on a concern."""
    members = active_memberships(access.person).filter(
        case__horse=access.horse, case__closed_at=None
    )
    boards = {
        member.case_id: CaseAccess(access.person, member.case, Role(member.role), member.stand_in)
        for member in members.select_related("case__horse").order_by("case_id")
    }
    return cut_items_of(
        [access, *(b for pk, b in boards.items() if pk != access.case.pk)], today=today
    )


def cut_items_of(boards: Iterable[CaseAccess], *, today: date) -> tuple[CutItem, ...]:
    """Of these boards only."""
    lines = [line for board in boards for line in plan_for(board, open_only=True)]
    return cut_items_in(lines, today=today)


def cut_items_in(lines: Iterable[PlanLine], *, today: date) -> tuple[CutItem, ...]:
    """Of a plan that was read already."""
    found = (
        cut_item(line.item, line.version, agreed=line.state.is_agreed, today=today)
        for line in lines
    )
    return in_order(item for item in found if item is not None)
