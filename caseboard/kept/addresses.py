"""What a person's phone fetches while it has a signal: the next two days' stops, then their boards."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from django.urls import reverse

from horses.access import cases_for, may
from horses.access_yard import yard_places
from horses.models import Foot, Person
from horses.queries.day_list import Round, Stop, round_for, stops_fill

AHEAD = timedelta(days=1)  # today and tomorrow
MOST_STOPS = 16  # horses: two full days of a farrier; house default
MOST_BOARDS = 12  # house default
# The forms of a stop, and who may use each.
FORMS = (
    ("visit_new", "work.record"),
    ("was_here", "visit.report"),
    ("flag_new", "flag.raise"),
    ("note_new", "note.write"),
    ("readings_new", "reading.record"),
    ("exam_new", "exam.record"),
)


@dataclass(frozen=True)
class Shelf:
    """Addresses, the ones that matter most first."""

    open: list[str]  # what the person may still see begins with one of these
    stops: list[str]  # fetched even where the person asks to spare data
    more: list[str]


def shelf_for(person: Person, *, today: date) -> Shelf:
    cases = list(cases_for(person).order_by("horse__name", "pk"))
    yards = [place.yard for place in yard_places(person)]
    found = round_for(person, first=today, last=today + AHEAD, today=today)
    stops = _to_come(found)[:MOST_STOPS]
    stops_fill(person, found, stops, today=today)
    own = ["horses", "round", "daily_look", "notices"]
    ahead = [reverse(name) for name in own]
    ahead.append(reverse("round") + "?days=1")
    for stop in stops:
        ahead += _of_stop(stop)
    boards = [case for case in cases if case.is_open][:MOST_BOARDS]
    more = [
        reverse(name, args=[case.public_id]) for case in boards for name in ("board", "flag_new")
    ]
    more += [reverse("yard", args=[yard.public_id]) for yard in yards]
    return Shelf(
        open=[
            *(reverse("board", args=[case.public_id]) for case in cases),
            *(reverse("yard", args=[yard.public_id]) for yard in yards),
        ],
        stops=list(dict.fromkeys(ahead)),
        more=[address for address in dict.fromkeys(more) if address not in ahead],
    )


def _to_come(found: Round) -> list[Stop]:
    return [stop for stop in found.stops if not stop.is_done]


def _of_stop(stop: Stop) -> Iterator[str]:
    access, case = stop.access, stop.case.public_id
    yield reverse("board", args=[case])
    yield from (reverse(name, args=[case]) for name, right in FORMS if may(access, right))
    for flag in stop.flags:
        yield reverse("flag", args=[flag.case.public_id, flag.public_id])
    yield from (reverse("foot", args=[case, foot]) for foot in Foot.values)


