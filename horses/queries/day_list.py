"""The round of a farrier or a vet: whom they are expected at, and who is due without a day.

Starts from the person's memberships: nothing of boards they are not on. The number of queries is
the same for any number of horses.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from django.db.models import F, Max, Prefetch, Q, Window
from django.db.models.functions import RowNumber

from horses.access import active_memberships
from horses.domain.cut_items import CutItem, cut_item, in_order
from horses.domain.trim_cycle import DUE, OVERDUE, SOON, Due, due_for
from horses.models import (
    AGREEING_ROLES,
    Case,
    FootWork,
    Horse,
    Membership,
    Person,
    PlanItem,
    PlanItemVersion,
    Role,
    Trim,
    Visit,
)
from horses.queries.places import place_name
from horses.queries.plan_state import version_state


@dataclass
class Stop:
    """One horse on the round."""

    horse: Horse
    case: Case
    visit: Visit | None
    due: Due
    owners: list[Person] = field(default_factory=list)
    agreed: list[PlanItemVersion] = field(default_factory=list)
    waiting: int = 0  # items that not everybody has agreed to
    cutting: tuple[CutItem, ...] = ()  # what the plans say to whoever is about to cut
    shoes: dict[str, FootWork] = field(default_factory=dict)

    @property
    def place(self) -> str:
        return place_name(self.horse)


@dataclass(frozen=True)
class Round:
    stops: list[Stop]
    unplanned: list[Stop]


KIND_OF = {Role.FARRIER: Visit.Kind.FARRIER, Role.VET: Visit.Kind.VET}


def works_rounds(person: Person) -> bool:
    return active_memberships(person).filter(role__in=KIND_OF).exists()


def round_for(person: Person, *, first: date, last: date, today: date) -> Round:
    """The planned visits of the days from `first` to `last` that nobody else is named for, and the
    farrier's horses that are due by then without a planned day; `stops_fill` adds what is known of each."""
    boards = _boards(person)
    horses = {board.horse_id: board.horse for board, _ in boards.values()}
    planned: dict[tuple[int, str], Visit] = {}
    visits = Visit.objects.planned().filter(horse__in=horses)
    for row in visits.select_related("planned_for").order_by("-planned_on"):
        planned[row.horse_id, row.kind] = row
    trims = Trim.objects.in_force().filter(horse__in=horses)
    trimmed = dict(trims.values_list("horse_id").annotate(on=Max("trimmed_on")))
    stops: list[Stop] = []
    unplanned: list[Stop] = []
    for (horse_id, role), (case, _) in boards.items():
        horse, kind = horses[horse_id], KIND_OF[Role(role)]
        if horse.state != Horse.State.ACTIVE:
            continue
        visit = planned.get((horse_id, kind))
        on = visit.planned_on if visit else None
        due = due_for(horse, today=today, planned_on=on, last_trim_on=trimmed.get(horse_id))
        stop = Stop(horse, case, visit, due)
        if visit is not None and on is not None:
            mine = visit.planned_for_id in (None, person.pk)
            if mine and (first <= on <= last or on < today <= last):
                stops.append(stop)
        elif kind == Visit.Kind.FARRIER and not _stand_in(boards, horse_id, role):
            by_then = due.on is not None and due.on <= last
            if by_then and due.state in (SOON, DUE, OVERDUE):
                unplanned.append(stop)
    stops.sort(key=lambda s: (_day(s), s.place.casefold(), s.horse.name.casefold()))
    unplanned.sort(key=lambda s: (s.place.casefold(), s.due.days, s.horse.name.casefold()))
    return Round(stops, unplanned)


def stops_fill(person: Person, stops: list[Stop], *, today: date) -> None:
    """What the page says of these stops: their owners, plans and shoes."""
    _add_people(person, stops)
    _add_plan(person, stops, today)
    _add_shoes(stops)


def _day(stop: Stop) -> date:
    return (stop.visit.planned_on if stop.visit else None) or date.max


Boards = dict[tuple[int, str], tuple[Case, bool]]


def _boards(person: Person) -> Boards:
    """The person's open boards as farrier or vet, one a horse: the standing care first."""
    members = active_memberships(person).filter(role__in=KIND_OF, case__closed_at=None)
    found: Boards = {}
    for member in members.select_related("case__horse").order_by("-case__kind", "case_id"):
        found.setdefault((member.case.horse_id, member.role), (member.case, member.stand_in))
    return found


def _stand_in(boards: Boards, horse_id: int, role: str) -> bool:
    """A stand-in is not sent to horses that nobody has asked them for."""
    return boards[horse_id, role][1]


def _add_people(person: Person, stops: list[Stop]) -> None:
    """Who owns the horse, of the same board: the number to ring from the yard."""
    members = Membership.objects.filter(
        case__in={stop.case.pk for stop in stops}, role=Role.OWNER, left_at__isnull=True
    )
    by_case: dict[int, list[Person]] = {}
    for member in members.select_related("person").order_by("pk"):
        by_case.setdefault(member.case_id, []).append(member.person)
    for stop in stops:
        stop.owners = by_case.get(stop.case.pk, [])


def _add_plan(person: Person, stops: list[Stop], today: date) -> None:
    """The open items of all the person's boards of the horse; only the agreed ones are to be done."""
    horses = {stop.horse.pk for stop in stops}
    mine = active_memberships(person).filter(case__horse__in=horses, case__closed_at=None)
    cases = set(mine.values_list("case_id", flat=True))
    versions = PlanItemVersion.objects.order_by("number").prefetch_related("agreements")
    items = PlanItem.objects.filter(case__in=cases, status=PlanItem.Status.OPEN)
    items = items.select_related("case").prefetch_related(
        "case__memberships", Prefetch("versions", queryset=versions)
    )
    agreed: dict[int, list[PlanItemVersion]] = {}
    waiting: dict[int, int] = {}
    cutting: dict[int, list[CutItem]] = {}
    for item in items.order_by("case_id", "number"):
        newest = list(item.versions.all())[-1]
        held = {m.role for m in item.case.memberships.all() if m.left_at is None}
        roles = [role.value for role in AGREEING_ROLES if role in held]
        all_agree = version_state(newest, roles).is_agreed
        if warning := cut_item(item, newest, agreed=all_agree, today=today):
            cutting.setdefault(item.case.horse_id, []).append(warning)
        if all_agree:
            agreed.setdefault(item.case.horse_id, []).append(newest)
        else:
            waiting[item.case.horse_id] = waiting.get(item.case.horse_id, 0) + 1
    for stop in stops:
        stop.agreed = agreed.get(stop.horse.pk, [])
        stop.waiting = waiting.get(stop.horse.pk, 0)
        stop.cutting = in_order(cutting.get(stop.horse.pk, []))


def _add_shoes(stops: Iterable[Stop]) -> None:
    """The shoe that each foot was last given, when it is still on by the visits' word."""
    by_horse = {stop.horse.pk: stop for stop in stops}
    newest_first = Window(
        RowNumber(),
        partition_by=[F("visit__horse"), F("foot")],
        order_by=[F("visit__kept_on").desc(), F("pk").desc()],
    )
    work = FootWork.objects.in_force().filter(
        ~Q(shoe=FootWork.Shoe.NONE), visit__horse__in=by_horse
    )
    last = work.annotate(place=newest_first).filter(place=1).select_related("visit")
    for row in last.exclude(shoe=FootWork.Shoe.PULLED):
        by_horse[row.visit.horse_id].shoes[row.foot] = row
