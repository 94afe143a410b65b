"""The one place where a yard's people come on the standing care of its horses, and go.

What it writes are ordinary memberships, which remember the place at the yard they came through;
access reads those and nothing else. Nobody comes through a yard on a concern.

The order of locks: the yard (its deeds lock it first), the team of each horse, the case (the line).
"""

from collections.abc import Iterable
from datetime import datetime

from horses.access import CaseAccess, team_lock
from horses.domain.yard_roles import OnHorse, on_horse
from horses.models import Case, LeftOut, Membership, Person, Role, Stay, YardMember
from horses.queries.reopened import has_own
from horses.services.deed import Deed


def standing_case(stay: Stay) -> Case:
    return Case.objects.select_related("horse").get(horse=stay.horse_id, kind=Case.Kind.ROUTINE)


def place_on(stay: Stay, member: YardMember) -> OnHorse | None:
    return on_horse(member.role, yards_own=stay.is_yards_own)


def everybody_joins(stay: Stay, *, by: Person, now: datetime) -> list[Membership]:
    """All of the yard come on a horse that has come to stand there."""
    people = YardMember.objects.in_force().filter(yard=stay.yard_id).select_related("person")
    return [row for m in people.order_by("pk") if (row := joins(stay, m, by=by, now=now))]


def joins_everywhere(member: YardMember, *, by: Person, now: datetime) -> list[Membership]:
    """One person comes on all horses of the yard."""
    stays = Stay.objects.now().filter(yard=member.yard_id).select_related("horse")
    return [row for stay in stays if (row := joins(stay, member, by=by, now=now))]


def joins(stay: Stay, member: YardMember, *, by: Person, now: datetime) -> Membership | None:
    """One person of the yard comes on one of its horses; None where they do not, or are on it.

    Where its owner wants to be asked first, or has a vet or farrier of their own, they are left
    out until the owner lets them in.
    """
    place = place_on(stay, member)
    if place is None or LeftOut.objects.filter(stay=stay, member=member, until_at=None).exists():
        return None
    case = standing_case(stay)
    team = team_lock(case)
    if any(there.person_id == member.person_id for there in team):
        return None  # in a place of their own, which the yard does not change
    if not stay.is_yards_own and (stay.asks_first or has_own(team, place)):
        LeftOut.objects.create(stay=stay, member=member, at=now, by=by)
        return None
    return let_on(case, member, place, now=now)


def let_on(case: Case, member: YardMember, place: OnHorse, *, now: datetime) -> Membership:
    """The membership itself, with its line; the horse's own owner is told."""
    row = Membership.objects.create(
        case=case,
        person=member.person,
        role=place.role,
        stand_in=place.stand_in,
        runs_yard=place.runs_yard,
        via=member,
        joined_at=now,
        invited_by_id=member.invited_by_id,
    )
    act = Deed(_as_member(row, case), "", now)
    act.line("team.joined", member.person, after=_after(row, member))
    as_what = "manager of the yard" if row.runs_yard else Role(row.role).label
    subject = f"{case.horse.name}: {member.person} of {member.yard} is on the team as {as_what}"
    act.tell("team.joined", row, subject, only=_own_owners(case))
    return row


def left_out(row: Membership, *, by: Person, now: datetime) -> None:
    """Somebody of the yard who was taken off one horse does not come back on it by themselves."""
    if row.via is None or row.case.is_concern:
        return
    stay = Stay.objects.now().filter(horse=row.case.horse_id, yard=row.via.yard_id).first()
    if stay is not None:
        LeftOut.objects.get_or_create(
            stay=stay, member=row.via, until_at=None, defaults={"at": now, "by": by}
        )


def goes_everywhere(member: YardMember, *, by: Person, now: datetime) -> None:
    """Somebody's place at the yard has ended: they go from every horse it brought them on."""
    rows = Membership.objects.filter(via=member, left_at=None).select_related("case__horse")
    for row in rows.order_by("case_id"):
        goes(row, by=by, now=now)


def goes_all(rows: Iterable[Membership], *, by: Person, now: datetime) -> None:
    for row in rows:
        goes(row, by=by, now=now)


def goes(row: Membership, *, by: Person, now: datetime) -> None:
    """One person goes from one horse. What they wrote stays; they see nothing more of it."""
    team_lock(row.case)
    row.left_at, row.removed_by = now, by
    row.save(update_fields=["left_at", "removed_by"])
    act = Deed(_by_access(by, row), "", now)
    verb = "team.left" if by == row.person else "team.removed"
    after = {"name": str(row.person), "role": row.role}
    if row.via is not None:
        after["yard"] = row.via.yard.name
    act.line(verb, row.person, after=after)
    subject = f"{row.case.horse.name}: {row.person} is no longer on the team"
    act.tell(verb, row, subject, only=_own_owners(row.case))


def _by_access(by: Person, row: Membership) -> CaseAccess:
    """Whoever does it, in their role on this horse; the yard's manager may have none there."""
    mine = Membership.objects.filter(case=row.case, person=by).order_by("left_at", "-pk")
    there = mine.filter(left_at=None).first() or mine.first()
    role = Role(there.role) if there else Role.CARER
    return CaseAccess(by, row.case, role)


def _as_member(row: Membership, case: Case) -> CaseAccess:
    return CaseAccess(row.person, case, Role(row.role), row.stand_in, runs_yard=row.runs_yard)


def _after(row: Membership, member: YardMember) -> dict[str, object]:
    return {
        "role": row.role,
        "stand_in": row.stand_in,
        "yard": member.yard.name,
        "runs_yard": row.runs_yard,
    }


def _own_owners(case: Case) -> frozenset[int]:
    """The owners who are no managers of the yard: ten horses of the yard's own are one piece of
    news there, and stand on the yard's page."""
    own = Membership.objects.filter(case=case, role=Role.OWNER, left_at=None, via=None)
    return frozenset(own.values_list("person_id", flat=True))
