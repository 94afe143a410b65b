"""The boards that something written on the wrong horse may belong to."""

from horses.access import CaseAccess, active_memberships


def other_boards(access: CaseAccess) -> list[tuple[str, str]]:
    """The open boards of other horses on which this person has the same role: id and words."""
    members = active_memberships(access.person).filter(role=access.role, case__closed_at=None)
    rows = members.exclude(case__horse=access.horse).select_related("case__horse")
    found = [(m.case.public_id, f"{m.case.horse.name}: {m.case}") for m in rows]
    return sorted(found, key=lambda pair: pair[1])
