"""The yard: its manager, farrier and groom by one link each, and a livery owner who sees one horse."""

from datetime import datetime

from caseboard.demo.herd import NIGHT_VETS, YARD
from caseboard.demo.people import People
from horses.access import access_get
from horses.access_yard import YardAccess, yard_access_get
from horses.models import Case, HistoryLine, Membership, Person, Role, Yard, YardRole
from horses.queries.move import move_shown
from horses.queries.reopened import coming, reopened_mark
from horses.services.team import member_remove
from horses.services.yard_links import yard_link_make, yard_link_take, yard_token
from horses.services.yard_members import yard_member_confirm
from horses.services.yard_move import horse_move
from horses.services.yards import yard_create


def play_yard(people: People) -> None:
    """Made last of all, of horses that were there: a farrier or vet whom a horse has already is not
    doubled. Everything at the moment of the newest line, so that no history goes back in time."""
    start = HistoryLine.objects.latest("at").at
    yard = yard_create(
        person=people.manager,
        fields={
            "name": YARD,
            "address": "Saltings Lane",
            "time_zone": "UTC",
            "vet_name": NIGHT_VETS["emergency_vet_name"],
            "vet_phone": NIGHT_VETS["emergency_vet_phone"],
            "held_by": "Kit",
        },
        horse_ids=_own_horses(people),
        now=start,
    )
    place = yard_access_get(people.manager, yard.public_id, fresh=True)
    for person, role in (
        (people.farrier, YardRole.FARRIER),
        (people.groom, YardRole.CARER),
        (people.owner, YardRole.OWNER),
    ):
        _comes(place, person, role, start)
    _livery(people, yard, start)


def _own_horses(people: People) -> list[str]:
    """The school's: those that the manager owns and the livery owner does not."""
    shared = Membership.objects.filter(person=people.owner, left_at=None).values("case_id")
    mine = Membership.objects.filter(person=people.manager, role=Role.OWNER, left_at=None)
    cases = Case.objects.filter(kind=Case.Kind.ROUTINE, pk__in=mine.values("case_id"))
    return list(cases.exclude(pk__in=shared).order_by("pk").values_list("public_id", flat=True))


def _comes(place: YardAccess, person: Person, role: str, at: datetime) -> None:
    """Follows the link, and the manager says yes."""
    link = yard_link_make(access=place, role=role, now=at)
    member = yard_link_take(person=person, token=yard_token(link.public_id), now=at)
    seen = reopened_mark(coming(place.yard.pk, role, member=member).reopened)
    yard_member_confirm(access=place, member_id=member.public_id, seen=seen, now=at)


def _livery(people: People, yard: Yard, at: datetime) -> None:
    """The livery owner's horse stands at the yard: its manager plans there, and agrees for nobody."""
    case = Case.objects.get(
        kind=Case.Kind.ROUTINE, memberships__person=people.owner, memberships__left_at=None
    )
    access = access_get(people.owner, case.public_id, fresh=True)
    manager = Membership.objects.get(case=case, person=people.manager, left_at=None)
    member_remove(access=access, membership_id=manager.public_id, now=at)
    seen = move_shown(access, yard.public_id).mark
    horse_move(access=access, to_id=yard.public_id, seen=seen, now=at)
