"""Composes the day list: the stops of the days asked for, by place, with each horse's numbers."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from itertools import groupby, zip_longest
from urllib.parse import urlencode

from django.conf import settings
from django.core.paginator import Page, Paginator

from horses.access import may
from horses.models import Person, Visit
from horses.queries.day_list import KIND_OF, Report, Stop, round_for, stops_fill
from horses.queries.day_places import by_place, clock_of
from horses.queries.visit_questions import Question
from measurements.panels.day_list import FootNumbers, numbers_for_round
from measurements.queries.dangers import by_horse, films_short, item_words

LENGTHS = (1, 7)  # a day or a week
STOPS_A_PAGE = 40  # more than anybody shoes in a week; house default


@dataclass(frozen=True)
class RoundStop:
    stop: Stop
    feet: list[FootNumbers]
    before_cutting: list[str]
    today: date

    @property
    def may_repeat(self) -> bool:
        """Whether "done as last time" is offered: today, and nothing known that touches a foot. The
        deed looks again, at more than this page reads. It writes today's visit up, so that it is no
        answer about a day that has passed."""
        stop = self.stop
        known = self.before_cutting or stop.agreed or stop.waiting or stop.flags
        again = any(foot.again for foot in self.feet)
        is_now = stop.visit is not None and stop.on == self.today
        trimmed = stop.trimmed_on is not None and stop.trimmed_on < self.today
        return self.may_record and is_now and trimmed and not known and not again

    @property
    def may_record(self) -> bool:
        """Whoever comes writes it up from here."""
        stop = self.stop
        farriers = stop.visit is None or not stop.visit.is_vet_visit
        return farriers and not stop.is_done and may(stop.access, "work.record")

    @property
    def has_passed(self) -> bool:
        """Its day is over, and nobody has said what became of it."""
        stop = self.stop
        return not stop.is_done and stop.on is not None and stop.on < self.today

    @property
    def question(self) -> Question | None:
        """Asked of whoever looks first."""
        stop = self.stop
        if stop.visit is None or not self.has_passed or not may(stop.access, "visit.report"):
            return None
        return Question(stop.visit, stop.access)

    @property
    def records_yes(self) -> bool:
        """Whoever came writes it up instead of saying yes."""
        return self.question is not None and self.question.is_own_work and self.may_record

    @property
    def may_plan(self) -> bool:
        return may(self.stop.access, "visit.plan")

    @property
    def may_move(self) -> bool:
        """Together with the others; one that nobody said a word of for days is only asked about."""
        return self.may_plan and not (self.stop.visit and self.stop.visit.is_missed)

    @property
    def may_confirm(self) -> bool:
        """Whether it is for the person's side to say that the day suits."""
        visit, access = self.stop.visit, self.stop.access
        if visit is None or visit.confirmed_at is not None or not visit.planned_by_role:
            return False
        waits = visit.is_planned and not self.has_passed
        return waits and visit.planned_by_role != access.role and may(access, "visit.confirm")


@dataclass(frozen=True)
class DayPlace:
    """One person who comes to one place on a day; without a planned day, only the place."""

    name: str
    stops: list[RoundStop]
    after: "DayPlace | None" = None  # the next stop of the same day

    @property
    def first(self) -> Stop:
        return self.stops[0].stop

    @property
    def who(self) -> Person | None:
        return self.first.who

    @property
    def is_mine(self) -> bool:
        """The person who looks is the one who comes."""
        access = self.first.access
        return access.role in KIND_OF and self.who in (None, access.person)

    @property
    def title(self) -> str:
        if self.is_mine or self.first.visit is None:
            return self.name
        role = "vet" if self.first.visit.is_vet_visit else "farrier"
        if self.who is None:
            return f"{role.capitalize()}, nobody named yet"
        return f"{self.who}, {'stand-in ' if self.first.who_stands_in else ''}{role}"

    @property
    def clock(self) -> time | None:
        return clock_of([one.stop for one in self.stops])

    @property
    def zone(self) -> str:
        """The zone of that clock, where it is not the installation's."""
        zones = {one.stop.visit.planned_zone for one in self.stops if one.stop.visit}
        return ", ".join(sorted(zones - {"", settings.TIME_ZONE}))

    @property
    def to_come(self) -> list[RoundStop]:
        return [one for one in self.stops if not one.stop.is_done]

    @property
    def done(self) -> int:
        return len(self.stops) - len(self.to_come)

    @property
    def holders(self) -> str:
        names = dict.fromkeys(one.stop.horse.held_by for one in self.to_come)
        return "; ".join(name for name in names if name)

    @property
    def movable(self) -> list[RoundStop]:
        """Those that the person may plan, move or cancel."""
        return [one for one in self.to_come if one.may_move]

    @property
    def confirmable(self) -> list[RoundStop]:
        """Those whose day it is for the person's side to confirm."""
        return [one for one in self.to_come if one.may_confirm]

    @property
    def may_order(self) -> bool:
        return self.is_mine and len(self.planned) > 1

    @property
    def may_be_late(self) -> bool:
        return self.is_mine and any(may(one.stop.access, "visit.late") for one in self.planned)

    @property
    def planned(self) -> list[RoundStop]:
        """Those that still come: not those whose day has passed without a word."""
        return [one for one in self.to_come if one.stop.visit and not one.has_passed]

    @property
    def has_deeds(self) -> bool:
        return bool(self.movable or self.confirmable)

    @property
    def spot(self) -> str:
        """Its place on the page, for a link that leads there."""
        return f"at-{self.first.on or 'none'}-{self.first.case.public_id}-{self.kind}"

    @property
    def kind(self) -> str:
        return self.first.visit.kind if self.first.visit else Visit.Kind.FARRIER

    @property
    def query(self) -> str:
        """Which horses: as the page of a stop reads it."""
        pairs = [("c", one.stop.case.public_id) for one in self.movable]
        return urlencode([*pairs, ("kind", self.kind)])


@dataclass(frozen=True)
class RoundDay:
    on: date
    places: list[DayPlace]
    count: int  # of the whole day, also where a page ends before it


@dataclass(frozen=True)
class RoundPage:
    first: date
    days: int
    works: bool
    has_boards: bool
    past: list[DayPlace]  # days that have passed, and nobody has said what became of them
    by_day: list[RoundDay]
    unplanned: list[DayPlace]
    count: int  # visits planned on all pages
    pages: Page[Stop]
    reports: list[Report]  # what others said of this person's work

    @property
    def has_places(self) -> bool:
        """More than one: then each arrival says where."""
        days = [place.name for day in self.by_day for place in day.places]
        rest = [place.name for place in [*self.past, *self.unplanned]]
        return len({name.casefold() for name in [*days, *rest]}) > 1

    @property
    def last(self) -> date:
        return self.first + timedelta(days=self.days - 1)

    @property
    def is_one_day(self) -> bool:
        return self.days == LENGTHS[0]

    @property
    def is_week(self) -> bool:
        return self.days == LENGTHS[-1]

    @property
    def query(self) -> str:
        """The days, as the address of another page has them."""
        return urlencode({"from": self.first.isoformat(), "days": self.days})

    @property
    def earlier(self) -> date:
        return self.first - timedelta(days=self.days)

    @property
    def later(self) -> date:
        return self.first + timedelta(days=self.days)


def round_page(
    person: Person, *, first: date, days: int, today: date, page: str | None = None
) -> RoundPage:
    """One page of the days; the stops of the others are only counted."""
    last = first + timedelta(days=days - 1)
    found = round_for(person, first=first, last=last, today=today)
    pages = Paginator([*found.stops, *found.unplanned], STOPS_A_PAGE).get_page(page)
    shown = list(pages)
    stops_fill(person, found, shown, today=today)
    ids = {stop.horse.pk for stop in shown}
    numbers, filmed = numbers_for_round(ids, today=today, length_unit=person.length_unit)
    films = by_horse(filmed)

    def made_of(stop: Stop) -> RoundStop:
        said = films_short(films.get(stop.horse.pk, ()), person, today)
        said += [item_words(item) for item in stop.cutting]
        return RoundStop(stop, numbers.get(stop.horse.pk, []), said, today)

    dated = [(s.on, made_of(s)) for s in shown if s.visit]
    of_day = Counter(on for s in found.stops if (on := s.on) and on >= first)
    return RoundPage(
        first=first,
        days=days,
        works=found.works,
        has_boards=found.has_boards,
        past=_places(one for on, one in dated if on is not None and on < first),
        by_day=[
            RoundDay(on, _places(one for _, one in rows), of_day[on])
            for on, rows in groupby(dated, key=lambda pair: pair[0])
            if on is not None and on >= first
        ],
        unplanned=_places(made_of(s) for s in shown if s.visit is None),
        count=of_day.total(),
        pages=pages,
        reports=found.reports,
    )


def _places(stops: Iterable[RoundStop]) -> list[DayPlace]:
    by_stop = {id(one.stop): one for one in stops}
    found = by_place(one.stop for one in by_stop.values())
    places = [DayPlace(of[0].place, [by_stop[id(stop)] for stop in of]) for of in found]
    return [replace(one, after=after) for one, after in zip_longest(places, places[1:])]
