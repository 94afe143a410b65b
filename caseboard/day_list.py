"""Composes the day list: the stops of the days asked for, by place, with each horse's numbers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from horses.models import Person
from horses.queries.day_list import Stop, round_for, works_rounds
from measurements.panels.day_list import FootNumbers, film_readings, numbers_for_round
from measurements.queries.dangers import by_horse, films_short, item_words

LENGTHS = (1, 7)  # a day or a week


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

    @property
    def count(self) -> int:
        return sum(len(place.stops) for place in self.places)


@dataclass(frozen=True)
class RoundPage:
    first: date
    days: int
    works: bool
    past: list[DayPlace]  # days that have passed and were not written up
    by_day: list[RoundDay]
    unplanned: list[DayPlace]

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
    def count(self) -> int:
        return sum(day.count for day in self.by_day)

    @property
    def earlier(self) -> date:
        return self.first - timedelta(days=self.days)

    @property
    def later(self) -> date:
        return self.first + timedelta(days=self.days)


def round_page(person: Person, *, first: date, days: int, today: date) -> RoundPage:
    last = first + timedelta(days=days - 1)
    found = round_for(person, first=first, last=last, today=today)
    ids = {stop.horse.pk for stop in [*found.stops, *found.unplanned]}
    numbers = numbers_for_round(ids, today=today, length_unit=person.length_unit)
    films = by_horse(film_readings(ids))

    def made_of(stop: Stop) -> RoundStop:
        said = films_short(films.get(stop.horse.pk, ()), person, today)
        said += [item_words(item) for item in stop.cutting]
        return RoundStop(stop, numbers.get(stop.horse.pk, []), said)

    made = {id(s): made_of(s) for s in found.stops}
    dated = [(s.visit.planned_on, made[id(s)]) for s in found.stops if s.visit]
    return RoundPage(
        first=first,
        days=days,
        works=works_rounds(person),
        past=_places(one for on, one in dated if on is not None and on < first),
        by_day=[
            RoundDay(on, _places(one for _, one in rows))
            for on, rows in groupby(dated, key=lambda pair: pair[0])
            if on is not None and on >= first
        ],
        unplanned=_places(made_of(s) for s in found.unplanned),
    )


def _places(stops: Iterable[RoundStop]) -> list[DayPlace]:
    """In the order they come; horses of one place stand together."""
    found: dict[str, DayPlace] = {}
    for one in stops:
        name = one.stop.place
        found.setdefault(name.casefold(), DayPlace(name, [])).stops.append(one)
    return list(found.values())
