"""Which agreed plan items somebody's joining would open again: their role is asked too."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch

from horses.domain.yard_roles import OnHorse, is_brought_along, on_horse
from horses.models import (
    AGREEING_ROLES,
    Case,
    Horse,
    LeftOut,
    Membership,
    PlanItem,
    PlanItemVersion,
    Stay,
    YardMember,
)
from horses.queries.plan_state import version_state


@dataclass(frozen=True)
class Reopened:
    """On one horse: agreed items that wait again, for the role that joins."""

    horse: Horse
    role: str
    versions: tuple[PlanItemVersion, ...]


def reopened_on(case: Case, roles: Iterable[str]) -> list[Reopened]:
    """What roles that nobody holds yet would open again on this standing case."""
    held = {m.role for m in Membership.objects.filter(case=case, left_at=None)}
    now = [role.value for role in AGREEING_ROLES if role in held]
    found = []
    for role in roles:
        if role in now or role not in AGREEING_ROLES:
            continue
        open_again = tuple(
            version
            for version in _agreed(case, now)
            if not version_state(version, [*now, role]).is_agreed
        )
        if open_again:
            found.append(Reopened(case.horse, str(role), open_again))
    return found


def _agreed(case: Case, roles: list[str]) -> list[PlanItemVersion]:
    versions = PlanItemVersion.objects.order_by("number").prefetch_related("agreements")
    items = PlanItem.objects.filter(case=case, status=PlanItem.Status.OPEN).order_by("number")
    items = items.prefetch_related("case__memberships", Prefetch("versions", queryset=versions))
    newest = [list(item.versions.all())[-1] for item in items]
    return [version for version in newest if version_state(version, roles).is_agreed]


@dataclass(frozen=True)
class Coming:
    """What somebody's joining the yard would do, horse by horse."""

    on: list[Case]  # the standing cases they would come on
    asked_first: list[Horse]  # whose owner lets them in, or not
    reopened: list[Reopened]


def coming(yard_id: int, role: str, *, member: YardMember | None = None) -> Coming:
    """Before it is done: on which horses a person in this role at the yard would come."""
    on: list[Case] = []
    asked: list[Horse] = []
    stays = Stay.objects.now().filter(yard=yard_id).select_related("horse")
    for stay in stays.order_by("horse__name", "horse_id"):
        place = on_horse(role, yards_own=stay.is_yards_own)
        if place is None or _is_left_out(stay, member):
            continue
        case = Case.objects.select_related("horse").get(horse=stay.horse_id, kind=Case.Kind.ROUTINE)
        team = list(Membership.objects.filter(case=case, left_at=None))
        if member and any(m.person_id == member.person_id for m in team):
            continue
        if not stay.is_yards_own and (stay.asks_first or has_own(team, place)):
            asked.append(stay.horse)
        else:
            on.append(case)
    role_on = on_horse(role, yards_own=True)
    roles = [role_on.role] if role_on else []
    return Coming(on, asked, [row for case in on for row in reopened_on(case, roles)])


def has_own(team: Iterable[Membership], place: OnHorse) -> bool:
    """Whether the owner brought somebody of their own in this role."""
    own = [m for m in team if m.via_id is None and m.role == place.role and not m.stand_in]
    return bool(own) and is_brought_along(place.role, stand_in=place.stand_in)


def _is_left_out(stay: Stay, member: YardMember | None) -> bool:
    left_out = LeftOut.objects.filter(stay=stay, member=member, until_at=None)
    return member is not None and left_out.exists()


def reopened_mark(rows: Iterable[Reopened]) -> str:
    """What was shown, so that what is done is what was read."""
    return ".".join(v.public_id for row in rows for v in row.versions)
