"""A day's stops as the person goes round: place by place, by the clock. One order for the page of the
day and for "save, then the next"."""

from collections.abc import Iterable, Sequence
from datetime import date, time

from horses.access import may
from horses.models import Person
from horses.queries.day_list import KIND_OF, Stop, round_for


def by_place(stops: Iterable[Stop]) -> list[list[Stop]]:
    """Horses of one place and person stand together, the places by the clock; without one in the
    order they come."""
    found: dict[tuple[str, int, str], list[Stop]] = {}
    for stop in stops:
        who = stop.who.pk if stop.who and stop.access.role not in KIND_OF else 0
        kind = stop.visit.kind if stop.visit else ""
        found.setdefault((stop.place.casefold(), who, kind), []).append(stop)
    return sorted(found.values(), key=lambda place: clock_of(place) or time.max)


def clock_of(place: Sequence[Stop]) -> time | None:
    """When it begins: the first time of those to come, or else of those done."""
    rest = [stop for stop in place if not stop.is_done] or place
    at = [stop.visit.planned_time for stop in rest if stop.visit]
    return min((one for one in at if one), default=None)


def next_stop(person: Person, *, after: str, on: date, today: date) -> Stop | None:
    """Whom the person writes up after this horse on that day: the next in the order of the day, and
    behind the last one whoever was passed over. `after`: the board's public id."""
    stops = round_for(person, first=on, last=on, today=today).stops
    order = [stop for place in by_place(s for s in stops if s.on == on) for stop in place]
    here = next((n for n, stop in enumerate(order) if stop.case.public_id == after), -1)
    horse = order[here].horse if here >= 0 else None
    round_again = [*order[here + 1 :], *order[: max(here, 0)]]
    return next((stop for stop in round_again if stop.horse != horse and _waits(stop)), None)


def _waits(stop: Stop) -> bool:
    farriers = stop.visit is not None and not stop.visit.is_vet_visit
    return farriers and not stop.is_done and may(stop.access, "work.record")
