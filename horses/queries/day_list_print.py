"""The farrier's day for paper: which horses a person sees on one day."""

from datetime import date

from horses.access import CaseAccess, access_of, active_memberships
from horses.models import Horse, Person, Role, Visit


def planned_standings(person: Person, on: date) -> list[list[CaseAccess]]:
    """The boards on which the person is a farrier and a visit is planned for that day, yard by
    yard, all open boards of one horse together: the standing care before a concern."""
    planned = Visit.objects.planned().filter(planned_on=on)
    members = active_memberships(person).filter(
        role=Role.FARRIER,
        case__closed_at=None,
        case__horse__state=Horse.State.ACTIVE,
        case__horse__in=planned.values("horse"),
    )
    rows = members.select_related("case__horse").order_by(
        "case__horse__yard", "case__horse__name", "-case__kind", "case_id"
    )
    found: dict[int, list[CaseAccess]] = {}
    for member in rows:
        access = access_of(person, member)
        found.setdefault(member.case.horse_id, []).append(access)
    return list(found.values())
