"""A horse that moves yard: who goes, who stays and who comes, said before it is done."""

from dataclasses import dataclass

from django.http import Http404

from horses.access import CaseAccess
from horses.access_yard import yard_places
from horses.domain.yard_roles import on_horse
from horses.models import Case, LeftOut, Membership, Stay, Yard, YardMember, YardRole
from horses.queries.reopened import Reopened, has_own, reopened_on
from horses.queries.yards import stay_of


@dataclass(frozen=True)
class Move:
    """What a move would do, as things stand."""

    stay: Stay | None  # where the horse stands now
    to: Yard | None
    goes: list[Membership]  # here through the yard it leaves, one row a person
    stays: list[Membership]
    comes: list[YardMember]
    own_instead: list[YardMember]  # the owner has somebody of their own in this role
    reopened: list[Reopened]

    @property
    def mark(self) -> str:
        """What was shown, so that what is done is what was read."""
        parts = [
            ",".join(m.public_id for m in self.goes),
            ",".join(m.public_id for m in self.comes),
            ",".join(v.public_id for row in self.reopened for v in row.versions),
        ]
        return "/".join(parts)


def yards_to_move_to(access: CaseAccess) -> list[Yard]:
    """Where the person may bring a horse of theirs: a place of theirs as manager or owner."""
    places = yard_places(access.person).filter(role__in=(YardRole.MANAGER, YardRole.OWNER))
    stay = stay_of(access.horse)
    rows = places.exclude(yard=stay.yard_id) if stay else places
    return [place.yard for place in rows.order_by("yard__name", "yard_id")]


def move_shown(access: CaseAccess, to_id: str) -> Move:
    """`to_id`: the yard's id, or nothing for no yard."""
    to = next((y for y in yards_to_move_to(access) if y.public_id == to_id), None)
    if to_id and to is None:
        raise Http404("no such yard of yours")
    stay = stay_of(access.horse)
    standing = Case.objects.get(horse=access.horse, kind=Case.Kind.ROUTINE)
    team = list(
        Membership.objects.filter(case=standing, left_at=None).select_related("person", "via")
    )
    goes = [
        m
        for m in team
        if m.via is not None
        and stay is not None
        and m.via.yard_id == stay.yard_id
        and m.person_id != access.person.pk
    ]
    stays = [m for m in team if m not in goes]
    comes, own_instead = _comers(to, stays)
    roles = [place.role for m in comes if (place := on_horse(m.role, yards_own=False))]
    left = {m.role for m in stays}
    new = [role for role in dict.fromkeys(roles) if role not in left]
    return Move(stay, to, goes, stays, comes, own_instead, reopened_on(standing, new))


def _comers(to: Yard | None, stays: list[Membership]) -> tuple[list[YardMember], list[YardMember]]:
    """Of the new yard's people, who would come, and who would not because the owner has their own."""
    if to is None:
        return [], []
    here = {m.person_id for m in stays}
    comes: list[YardMember] = []
    instead: list[YardMember] = []
    people = YardMember.objects.in_force().filter(yard=to).select_related("person")
    own = [m for m in stays if m.via_id is None]
    for member in people.order_by("pk"):
        place = on_horse(member.role, yards_own=False)
        if place is None or member.person_id in here:
            continue
        (instead if has_own(own, place) else comes).append(member)
    return comes, instead


def left_out_of(access: CaseAccess) -> list[YardMember]:
    """Who of the yard is left out of this horse, for whoever decides that."""
    stay = stay_of(access.horse)
    if stay is None:
        return []
    rows = LeftOut.objects.filter(
        stay=stay, until_at=None, member__ended_at=None, member__confirmed_at__isnull=False
    )
    return [row.member for row in rows.select_related("member__person", "member__yard")]
