"""A yard with its people: two horses of the yard's own, and one of a livery owner's."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from horses.access import CaseAccess, access_get
from horses.access_yard import YardAccess, yard_access_get
from horses.domain.horse_lines import horse_lines
from horses.models import Case, Horse, Person, Yard, YardMember, YardRole
from horses.queries.move import move_shown
from horses.queries.reopened import coming, reopened_mark
from horses.services.horses import horse_create
from horses.services.yard_horses import horses_add
from horses.services.yard_links import yard_link_make, yard_link_take, yard_token
from horses.services.yard_members import yard_member_confirm, yard_member_end
from horses.services.yard_move import horse_move
from horses.services.yards import yard_create
from tests.cast import person

LINES = "Pebble, 2015, barefoot, trimmed 5 Oct\nOtter, fronts"


@dataclass
class YardCast:
    yard: Yard
    manager: Person
    farrier: Person
    vet: Person
    groom: Person
    livery: Person  # keeps a horse there, and has a place as an owner
    waiting: Person  # followed a link, and has no answer yet
    gone: Person  # was the yard's farrier before
    other_manager: Person  # of another yard
    pebble: Case
    otter: Case
    linnet: Case  # the livery owner's
    elsewhere: Case  # at the other yard
    other_yard: Yard

    def place(self, who: Person, yard: Yard | None = None) -> YardAccess:
        """As right after a sign-in."""
        return yard_access_get(who, (yard or self.yard).public_id, fresh=True)

    def access(self, who: Person, case: Case) -> CaseAccess:
        return access_get(who, case.public_id, fresh=True)

    def member(self, who: Person) -> YardMember:
        return YardMember.objects.get(yard=self.yard, person=who, ended_at=None)

    @property
    def everyone(self) -> dict[str, Person]:
        return {k: v for k, v in self.__dict__.items() if isinstance(v, Person)}


def standing(horse: Horse) -> Case:
    return Case.objects.select_related("horse").get(horse=horse, kind="routine")


def make_yard(manager: Person, now: datetime, name: str = "Quillmarsh", **more: object) -> Yard:
    fields = {"name": name, "time_zone": "UTC", **more}
    return yard_create(person=manager, fields=fields, now=now)


def ask(place: YardAccess, who: Person, role: str, now: datetime) -> YardMember:
    """Somebody followed a link and waits."""
    link = yard_link_make(access=place, role=role, now=now)
    return yard_link_take(person=who, token=yard_token(link.public_id), now=now)


def say_yes(place: YardAccess, member: YardMember, now: datetime, **more: object) -> YardMember:
    seen = reopened_mark(coming(member.yard_id, member.role, member=member).reopened)
    return yard_member_confirm(
        access=place,
        member_id=member.public_id,
        seen=seen,
        now=now,
        **more,  # type: ignore[arg-type]  # handed on as it came
    )


def joined(place: YardAccess, who: Person, role: str, now: datetime, **more: object) -> YardMember:
    return say_yes(place, ask(place, who, role, now), now, **more)


def moved(access: CaseAccess, to: Yard | None, now: datetime, **more: object) -> None:
    """With what would be shown before one's eyes."""
    to_id = to.public_id if to else ""
    seen = move_shown(access, to_id).mark
    horse_move(access=access, to_id=to_id, seen=seen, now=now, **more)  # type: ignore[arg-type]


def own_horse(owner: Person, name: str, now: datetime) -> Case:
    return standing(horse_create(person=owner, fields={"name": name}, now=now))


def make_yard_cast(now: datetime) -> YardCast:
    """Everything was set up a week before `now`."""
    at = now - timedelta(days=7)
    manager, other = person("Mara Manager"), person("Olm Othermanager")
    yard = make_yard(manager, at, vet_phone="0100 999", vet_name="Night Vets")
    place = yard_access_get(manager, yard.public_id, fresh=True)
    lines = horse_lines(LINES, today=at.date())
    pebble, otter = (standing(h) for h in horses_add(access=place, lines=lines, now=at))
    gone = person("Gil Gone")
    farrier, vet, groom = (person(n) for n in ("Fay Farrier", "Vic Vet", "Gro Groom"))
    livery, waiting = person("Liv Livery"), person("Wim Waiting")
    for who, role in (
        (farrier, YardRole.FARRIER),
        (vet, YardRole.VET),
        (groom, YardRole.CARER),
        (livery, YardRole.OWNER),
        (gone, YardRole.CARER),
    ):
        joined(place, who, role, at)
    _ended(place, gone, at)
    linnet = own_horse(livery, "Linnet", at)
    moved(access_get(livery, linnet.public_id, fresh=True), yard, at)
    ask(place, waiting, YardRole.CARER, at)
    there = make_yard(other, at, "Farmead")
    other_place = yard_access_get(other, there.public_id, fresh=True)
    [elsewhere] = horses_add(
        access=other_place, lines=horse_lines("Zephyr", today=at.date()), now=at
    )
    return YardCast(
        yard=yard,
        manager=manager,
        farrier=farrier,
        vet=vet,
        groom=groom,
        livery=livery,
        waiting=waiting,
        gone=gone,
        other_manager=other,
        pebble=pebble,
        otter=otter,
        linnet=linnet,
        elsewhere=standing(elsewhere),
        other_yard=there,
    )


def _ended(place: YardAccess, who: Person, at: datetime) -> None:
    member = YardMember.objects.get(yard=place.yard, person=who, ended_at=None)
    yard_member_end(access=place, member_id=member.public_id, now=at)
