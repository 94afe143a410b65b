"""The day: who comes to which horses, what was done already, and who is due without a day.

A farrier and a vet have what they are expected at; an owner and a carer whoever comes to their
horses. A visit whose day has passed stands among them until somebody has said what became of it.

Starts from the person's memberships: nothing of boards they are not on. The number of queries is
the same for any number of horses.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, time

from django.db.models import F, Max, Q, Window
from django.db.models.functions import RowNumber

from caseboard.lib.spans import weeks_words
from horses.access import CaseAccess, access_of, active_memberships
from horses.domain.cut_items import CutItem, cut_item, in_order
from horses.domain.trim_cycle import DUE, OVERDUE, SOON, Due, due_for
from horses.models import (
    AGREEING_ROLES,
    Case,
    Flag,
    FootWork,
    Horse,
    Membership,
    OwnerContact,
    Person,
    PlanItem,
    PlanItemVersion,
    Role,
    Trim,
    Visit,
)
from horses.queries.board import most_urgent_first
from horses.queries.flags import open_flags_on
from horses.queries.held import contacts_of
from horses.queries.places import place_name
from horses.queries.plan_state import version_state
from horses.queries.visit_questions import is_to_confirm


@dataclass
class Stop:
    """One horse on the round."""

    access: CaseAccess  # the board of the person's that it stands on
    visit: Visit | None
    due: Due
    team: list[Membership] = field(default_factory=list)  # of this board, with their persons
    kept_owner: OwnerContact | None = None  # of a held horse: an owner without an account
    agreed: list[PlanItemVersion] = field(default_factory=list)
    waiting: int = 0  # items that not everybody has agreed to
    cutting: tuple[CutItem, ...] = ()  # what the plans say to whoever is about to cut
    shoes: dict[str, FootWork] = field(default_factory=dict)
    flags: list[Flag] = field(default_factory=list)  # the open ones, the most urgent first
    trimmed_on: date | None = None

    @property
    def case(self) -> Case:
        return self.access.case

    @property
    def horse(self) -> Horse:
        return self.access.horse

    @property
    def place(self) -> str:
        return place_name(self.horse)

    @property
    def owners(self) -> list[Person]:
        """The number to ring from the yard."""
        return [member.person for member in self.team if member.role == Role.OWNER]

    @property
    def on(self) -> date | None:
        visit = self.visit
        return (visit.kept_on if self.is_done else visit.planned_on) if visit else None

    @property
    def is_done(self) -> bool:
        """By the word of whoever came, or of somebody who was there."""
        return self.visit is not None and self.visit.means.took_place

    @property
    def who(self) -> Person | None:
        """Who comes, or who came."""
        visit = self.visit
        return (visit.person if visit.is_kept else visit.planned_for) if visit else None

    @property
    def done_words(self) -> str:
        """ "done", or whose word it is while whoever came has not confirmed it."""
        visit = self.visit
        if not self.is_done or visit is None:
            return ""
        return visit.word_of if visit.is_reported else "done"

    @property
    def for_words(self) -> str:
        """What the visit is for, and how long the last trim will then be ago."""
        visit = self.visit
        if visit is None or visit.is_vet_visit:
            return "vet visit" if visit else ""
        what = "trim and shoes" if self.shoes else "trim"
        if self.trimmed_on is None or self.on is None or self.on <= self.trimmed_on:
            return what
        return f"{what}, {weeks_words((self.on - self.trimmed_on).days)} after the last"

    @property
    def who_stands_in(self) -> bool:
        who = self.who
        return any(m.stand_in for m in self.team if who is not None and m.person_id == who.pk)

    @property
    def order(self) -> tuple[date, str, int, time, str]:
        """By day and place; there in the order of whoever comes, by the clock, and by name."""
        visit = self.visit
        at = (visit.planned_time if visit else None) or time.max
        number = visit.day_order if visit and visit.day_order is not None else LAST
        on = self.on or date.max
        return on, self.place.casefold(), number, at, self.horse.name.casefold()


@dataclass(frozen=True)
class Report:
    """What others reported of the person's work, and the board it is confirmed on."""

    visit: Visit
    case: Case


@dataclass(frozen=True)
class Round:
    stops: list[Stop]
    unplanned: list[Stop]
    reports: list[Report]
    members: Mapping[int, list[Membership]]  # by case: who is or was on each board of the person
    works: bool  # the person is a farrier or a vet on one of the boards
    has_boards: bool


Boards = dict[tuple[int, str], CaseAccess]

KIND_OF = {Role.FARRIER: Visit.Kind.FARRIER, Role.VET: Visit.Kind.VET}
HOME = "home"  # an owner's or a carer's place in the day: with the horse
LAST = 10_000  # behind every place in an order


def round_for(person: Person, *, first: date, last: date, today: date) -> Round:
    """The visits of the days from `first` to `last`, those that took place too, and the horses that
    are due at the farrier's by then without a planned day. Of visits to come, a farrier and a vet
    have those that no colleague is named for."""
    members = _members(person)
    boards = _boards(person, members)
    horses = {access.horse.pk: access.horse for access in boards.values()}
    found = _visits(horses, first, last, today)
    asks_now = first <= today <= last
    trims = Trim.objects.in_force().filter(horse__in=horses)
    trimmed = dict(trims.values_list("horse_id").annotate(on=Max("trimmed_on")))
    stops: dict[int, Stop] = {}
    unplanned: dict[int, Stop] = {}
    for (horse_id, role), access in boards.items():
        horse = access.horse
        if horse.state != Horse.State.ACTIVE:
            continue
        for kind in [KIND_OF[Role(role)]] if role != HOME else list(Visit.Kind):
            visit = found.planned.get((horse_id, kind))
            question = found.asked.get((horse_id, kind))
            trimmed_on = trimmed.get(horse_id)
            due = due_for(
                horse,
                today=today,
                planned_on=visit.planned_on if visit else None,
                last_trim_on=trimmed_on,
                asked_on=question.planned_on if question else None,
            )
            if visit is None and asks_now:
                visit = question  # nobody has said what became of it
            for one in [visit, *found.done.get((horse_id, kind), ())]:
                if one is not None and _stands_on_it(one, person, role, first, last, today):
                    stops.setdefault(one.pk, Stop(access, one, due, trimmed_on=trimmed_on))
            by_then = due.on is not None and due.on <= last and due.state in (SOON, DUE, OVERDUE)
            if kind == Visit.Kind.FARRIER and visit is None and by_then and not access.stand_in:
                unplanned.setdefault(horse_id, Stop(access, None, due, trimmed_on=trimmed_on))
    return Round(
        sorted(stops.values(), key=lambda stop: stop.order),
        sorted(unplanned.values(), key=_by_due),
        _reports(person, boards, found.reported),
        members=members,
        works=any(role != HOME for _, role in boards),
        has_boards=bool(boards),
    )


def _reports(person: Person, boards: Boards, reported: Iterable[Visit]) -> list[Report]:
    """What others reported of this person's work, the oldest first."""
    by_kind = {
        (horse_id, KIND_OF[Role(role)].value): access.case
        for (horse_id, role), access in boards.items()
        if role != HOME
    }
    mine = [v for v in reported if (v.horse_id, v.kind) in by_kind and is_to_confirm(v, person)]
    mine.sort(key=lambda v: (v.kept_on or date.min, v.horse.name, v.pk))
    return [Report(visit, by_kind[visit.horse_id, visit.kind]) for visit in mine]


def stops_fill(person: Person, found: Round, stops: list[Stop], *, today: date) -> None:
    """What the page says of these stops: the people, plans, shoes and flags."""
    for stop in stops:
        stop.team = list(filter(_is_on, found.members[stop.case.pk]))
    contacts = contacts_of(stop.horse.pk for stop in stops if not stop.owners)
    for stop in stops:
        stop.kept_owner = contacts.get(stop.horse.pk)
    _add_plan(found.members, stops, today)
    _add_shoes(stops)
    _add_flags(person, stops)


def _by_due(stop: Stop) -> tuple[str, int, str]:
    return stop.place.casefold(), stop.due.days, stop.horse.name.casefold()


def _stands_on_it(
    visit: Visit, person: Person, role: str, first: date, last: date, today: date
) -> bool:
    """Whether the visit is one of these days', or passed without a word, and the person's."""
    if visit.is_kept:
        return role == HOME or visit.person_id == person.pk
    mine = role == HOME or visit.planned_for_id in (None, person.pk)
    if visit.is_reported:
        return mine
    on = visit.planned_on
    return mine and on is not None and (first <= on <= last or on < today <= last)


@dataclass
class _Visits:
    """The visits that a round reads, by horse and kind."""

    planned: dict[tuple[int, str], Visit] = field(default_factory=dict)  # the next one
    done: dict[tuple[int, str], list[Visit]] = field(default_factory=dict)  # on the days
    asked: dict[tuple[int, str], Visit] = field(default_factory=dict)  # the newest nobody spoke of
    reported: list[Visit] = field(default_factory=list)


def _visits(horses: Mapping[int, Horse], first: date, last: date, today: date) -> _Visits:
    """With one query."""
    every = Visit.objects.all()
    of_days = every.took_place().filter(kept_on__range=(first, last))
    rows = (every.planned() | every.missed() | every.reported() | of_days).filter(
        horse__in=list(horses)
    )
    found = _Visits()
    rows = rows.with_answered().select_related("planned_for", "person")
    for row in rows.order_by("-planned_on", "pk"):
        row.horse = horses[row.horse_id]
        key = row.horse_id, row.kind
        if row.means.took_place:
            if row.kept_on is not None and first <= row.kept_on <= last:
                found.done.setdefault(key, []).append(row)
            if row.is_reported:
                found.reported.append(row)
            continue
        if row.is_planned:
            found.planned[key] = row
        passed = row.planned_on is not None and row.planned_on < today
        answered: bool = row.answered  # type: ignore[attr-defined]  # annotated, see with_answered
        if (passed or not row.is_planned) and not answered:
            newest = found.asked.get(key)
            if newest is None or _age(newest) < _age(row):
                found.asked[key] = row
    return found


def _age(visit: Visit) -> tuple[date, int]:
    return visit.planned_on or date.min, visit.pk


def _members(person: Person) -> dict[int, list[Membership]]:
    """Everybody who is or was on each open board of the person, the standing care before a concern:
    one reading says where the person stands, whom to ring and whose word a plan needs."""
    mine = active_memberships(person).filter(case__closed_at=None).values("case")
    members = Membership.objects.filter(case__in=mine)
    members = members.select_related("case__horse", "person")
    found: dict[int, list[Membership]] = {}
    for member in members.order_by("-case__kind", "case_id", "pk"):
        found.setdefault(member.case_id, []).append(member)
    return found


def _is_on(member: Membership) -> bool:
    return member.left_at is None


def _boards(person: Person, members: Mapping[int, list[Membership]]) -> Boards:
    """The person's open boards, one a horse and role: the standing care first. A stand-in is not
    sent to horses that nobody has asked them for."""
    found: Boards = {}
    own = (m for team in members.values() for m in team if m.person_id == person.pk)
    for member in filter(_is_on, own):
        role = member.role if member.role in KIND_OF else HOME
        access = access_of(person, member)
        found.setdefault((member.case.horse_id, role), access)
    return found


def _add_plan(members: Mapping[int, list[Membership]], stops: list[Stop], today: date) -> None:
    """The open items of all the person's boards of the horse; only the agreed ones are to be done."""
    horses = {stop.horse.pk for stop in stops}
    cases = [case for case, team in members.items() if team[0].case.horse_id in horses]
    versions = PlanItemVersion.objects.filter(
        item__case__in=cases, item__status=PlanItem.Status.OPEN
    ).select_related("item__case")
    ordered = versions.prefetch_related("agreements").order_by("item", "number")
    newest = {version.item_id: version for version in ordered}
    agreed: dict[int, list[PlanItemVersion]] = {}
    waiting: dict[int, int] = {}
    cutting: dict[int, list[CutItem]] = {}
    for version in sorted(newest.values(), key=lambda v: (v.item.case_id, v.item.number)):
        item = version.item
        ever = members[item.case_id]
        held = {member.role for member in filter(_is_on, ever)}
        roles = [role.value for role in AGREEING_ROLES if role in held]
        all_agree = version_state(version, roles, ever=ever).is_agreed
        if warning := cut_item(item, version, agreed=all_agree, today=today):
            cutting.setdefault(item.case.horse_id, []).append(warning)
        if all_agree:
            agreed.setdefault(item.case.horse_id, []).append(version)
        else:
            waiting[item.case.horse_id] = waiting.get(item.case.horse_id, 0) + 1
    for stop in stops:
        stop.agreed = agreed.get(stop.horse.pk, [])
        stop.waiting = waiting.get(stop.horse.pk, 0)
        stop.cutting = in_order(cutting.get(stop.horse.pk, []))


def _add_shoes(stops: Iterable[Stop]) -> None:
    """The shoe that each foot was last given, when it is still on by the visits' word."""
    by_horse: dict[int, list[Stop]] = {}
    for stop in stops:
        by_horse.setdefault(stop.horse.pk, []).append(stop)
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
        for stop in by_horse[row.visit.horse_id]:
            stop.shoes[row.foot] = row


def _add_flags(person: Person, stops: Iterable[Stop]) -> None:
    by_horse: dict[int, list[Flag]] = {}
    for flag in most_urgent_first(open_flags_on(person).select_related("case")):
        by_horse.setdefault(flag.case.horse_id, []).append(flag)
    for stop in stops:
        stop.flags = by_horse.get(stop.horse.pk, [])
