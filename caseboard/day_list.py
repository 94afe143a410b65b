"""Composes the day list: the stops of the days asked for, by place, with each horse's numbers."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from urllib.parse import urlencode

from django.core.paginator import Page, Paginator

from horses.models import Person
from horses.queries.day_list import Report, Stop, round_for, stops_fill, works_rounds
from measurements.panels.day_list import FootNumbers, film_readings, numbers_for_round
from measurements.queries.dangers import by_horse, films_short, item_words

LENGTHS = (1, 7)  # a day or a week
STOPS_A_PAGE = 40  # more than anybody shoes in a week; house default


@dataclass(frozen=True)
class RoundStop:
    stop: Stop
    feet: list[FootNumbers]
    before_cutting: list[str]


@dataclass(frozen=True)
class DayPlace:
    name: str
    stops: list[RoundStop]


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
    past: list[DayPlace]  # days that have passed, and nobody has said what became of them
    by_day: list[RoundDay]
    unplanned: list[DayPlace]
    count: int  # visits planned on all pages
    pages: Page[Stop]
    reports: list[Report]  # what others said of this person's work

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
    """One page of the round; the stops of the others are only counted."""
    last = first + timedelta(days=days - 1)
    found = round_for(person, first=first, last=last, today=today)
    pages = Paginator([*found.stops, *found.unplanned], STOPS_A_PAGE).get_page(page)
    shown = list(pages)
    stops_fill(person, shown, today=today)
    ids = {stop.horse.pk for stop in shown}
    numbers = numbers_for_round(ids, today=today, length_unit=person.length_unit)
    films = by_horse(film_readings(ids))

    def made_of(stop: Stop) -> RoundStop:
        said = films_short(films.get(stop.horse.pk, ()), person, today)
        said += [item_words(item) for item in stop.cutting]
        return RoundStop(stop, numbers.get(stop.horse.pk, []), said)

    dated = [(_planned_on(s), made_of(s)) for s in shown if s.visit]
    of_day = Counter(on for s in found.stops if (on := _planned_on(s)) and on >= first)
    return RoundPage(
        first=first,
        days=days,
        works=works_rounds(person),
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


def _planned_on(stop: Stop) -> date | None:
    return stop.visit.planned_on if stop.visit else None


def _places(stops: Iterable[RoundStop]) -> list[DayPlace]:
    """In the order they come; horses of one place stand together."""
    found: dict[str, DayPlace] = {}
    for one in stops:
        name = one.stop.place
        found.setdefault(name.casefold(), DayPlace(name, [])).stops.append(one)
    return list(found.values())
