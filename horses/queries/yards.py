"""A yard as one of its people sees it: its people, and of its horses those they are on."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Max, Q, QuerySet

from horses.access import CaseAccess, active_memberships, cases_for, may
from horses.access_yard import YardAccess, yard_may, yard_places
from horses.domain.trim_cycle import Due, due_for
from horses.models import (
    Case,
    Horse,
    Membership,
    Person,
    Role,
    Stay,
    Trim,
    Visit,
    YardInvitation,
    YardMember,
    YardRole,
)

ORDER = {role: index for index, role in enumerate(YardRole.values)}


@dataclass(frozen=True)
class YardHorse:
    """One horse of the yard that the person is on."""

    stay: Stay
    case: Case
    mine: Membership
    due: Due
    last_trim_on: date | None

    @property
    def horse(self) -> Horse:
        return self.case.horse

    @property
    def access(self) -> CaseAccess:
        m = self.mine
        return CaseAccess(m.person, self.case, Role(m.role), m.stand_in, runs_yard=m.runs_yard)


def yards_of(person: Person) -> list[YardMember]:
    """The person's places, by the yard's name; a manager's with `waiting`: how many wait for a yes."""
    waits = Q(yard__members__confirmed_at=None, yard__members__ended_at=None)
    manages = Q(role=YardRole.MANAGER)
    counted = yard_places(person).annotate(waiting=Count("yard__members", filter=waits & manages))
    return list(counted.order_by("yard__name", "yard_id"))


def places_ever_of(person: Person) -> list[YardMember]:
    """Every place at a yard that somebody had, has or waits for: for their own copy."""
    return list(YardMember.objects.filter(person=person).select_related("yard").order_by("pk"))


def waiting_for_a_yes(person: Person) -> list[YardMember]:
    """The yards whose manager has not answered this person yet."""
    rows = YardMember.objects.waiting().filter(person=person)
    return list(rows.select_related("yard", "invited_by").order_by("pk"))


def yard_people(access: YardAccess) -> list[YardMember]:
    """Who has a place at the yard now. Who else keeps a horse there is the managers' to know."""
    people = YardMember.objects.in_force().filter(yard=access.yard).select_related("person")
    if not yard_may(access, "yard.confirm"):
        people = people.exclude(role=YardRole.OWNER) | people.filter(person=access.person)
    return sorted(people, key=lambda m: (ORDER[m.role], m.pk))


def yard_waiting(access: YardAccess) -> list[YardMember]:
    """Who followed a link and waits for a manager's yes."""
    if not yard_may(access, "yard.confirm"):
        return []
    rows = YardMember.objects.waiting().filter(yard=access.yard)
    return list(rows.select_related("person", "invited_by", "invitation").order_by("asked_at"))


def yard_links(access: YardAccess) -> QuerySet[YardInvitation]:
    """The links that were made and neither ended nor used up; those that ran out too."""
    if not yard_may(access, "yard.invite"):
        return YardInvitation.objects.none()
    rows = YardInvitation.objects.filter(yard=access.yard, ended_at=None, used_at=None)
    return rows.select_related("invited_by")


def yard_horses(access: YardAccess, *, today: date) -> list[YardHorse]:
    """The yard's horses whose standing care the person is on, by name."""
    stays = Stay.objects.now().filter(yard=access.yard)
    mine = active_memberships(access.person).filter(
        case__kind=Case.Kind.ROUTINE, case__horse__in=stays.values("horse_id")
    )
    members = list(mine.select_related("case__horse", "person"))
    ids = [m.case.horse_id for m in members]
    by_horse = {stay.horse_id: stay for stay in stays}
    trimmed = _last_trims(ids)
    planned = dict(
        Visit.objects.planned()
        .filter(horse__in=ids, kind=Visit.Kind.FARRIER)
        .order_by("-planned_on")
        .values_list("horse_id", "planned_on")
    )
    found = []
    for member in members:
        horse = member.case.horse
        last = trimmed.get(horse.pk)
        due = due_for(horse, today=today, planned_on=planned.get(horse.pk), last_trim_on=last)
        found.append(YardHorse(by_horse[horse.pk], member.case, member, due, last))
    return sorted(found, key=lambda h: (h.horse.name.casefold(), h.horse.pk))


def _last_trims(horse_ids: Iterable[int]) -> dict[int, date]:
    trims = Trim.objects.in_force().filter(horse__in=list(horse_ids))
    return dict(trims.values_list("horse_id").annotate(on=Max("trimmed_on")))


def without_trim(horses: Iterable[YardHorse]) -> list[YardHorse]:
    """Those in care of which nobody has said when they were trimmed, and this person may."""
    return [
        h
        for h in horses
        if h.horse.is_in_care and h.last_trim_on is None and may(h.access, "horse.edit")
    ]


def horses_to_bring(person: Person) -> list[Case]:
    """The standing cases of horses that the person owns and that stand at no yard."""
    owned = active_memberships(person).filter(role=Role.OWNER, case__kind=Case.Kind.ROUTINE)
    here = Stay.objects.now().values("horse_id")
    cases = Case.objects.filter(pk__in=owned.values("case_id")).exclude(horse__in=here)
    cases = cases.exclude(horse__state=Horse.State.ENDED)
    return list(cases.select_related("horse").order_by("horse__name", "pk"))


def stay_of(horse: Horse) -> Stay | None:
    return Stay.objects.now().filter(horse=horse).select_related("yard").first()


def on_by_place(access: YardAccess, member: YardMember) -> list[str]:
    """The names of the horses that somebody is on through their place at the yard; those of them
    that the person who asks is on too, so that nobody learns of others' horses."""
    mine = cases_for(access.person).values("pk")
    rows = Membership.objects.filter(via=member, left_at=None, case__in=mine)
    return sorted(rows.values_list("case__horse__name", flat=True))
