"""What a person's phone fetches while it has a signal: the next two days' stops, then their boards."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.urls import reverse

from horses.access import CaseAccess, access_of, active_memberships, may
from horses.access_yard import yard_places
from horses.models import Foot, Person
from horses.queries.day_list import Stop, round_for
from horses.queries.pictures import blanked_since

AHEAD = timedelta(days=1)  # today and tomorrow
MOST_STOPS = 16  # horses: two full days of a farrier; house default
MOST_BOARDS = 12  # house default
# Longer than a shelf is kept without a contact (KEPT_FOR_MS in static/js/worker/shelf.js), with a day for
# clocks that differ: whoever was away longer has no shelf.
BLANKED_FOR = timedelta(days=15)
OWN = ("horses", "round", "daily_look", "waiting", "notices")
# The forms of a board, and who may use each.
FORMS = (
    ("visit_new", "work.record"),
    ("was_here", "visit.report"),
    ("flag_new", "flag.raise"),
    ("note_new", "note.write"),
    ("readings_new", "reading.record"),
    ("exam_new", "exam.record"),
    ("picture_new", "picture.add"),
)


@dataclass(frozen=True)
class Shelf:
    """Addresses, those that matter most first. A home is the board that a case's addresses begin
    with, or a yard's page."""

    own: list[str]  # of the person's own: lists and days
    stops: list[str]  # homes of the horses to be seen: fetched even where data is to be spared
    boards: list[str]  # further homes, of which only the board and the flag are fetched
    homes: dict[str, list[str]]  # all that the person may see, each with its forms and feet
    blanked: list[str]  # what addresses of pictures begin with that were blanked out of late


def shelf_for(person: Person, *, today: date, now: datetime) -> Shelf:
    memberships = active_memberships(person).select_related("case__horse", "person")
    accesses = [access_of(person, one) for one in memberships.order_by("case__horse__name", "pk")]
    yards = [reverse("yard", args=[place.yard.public_id]) for place in yard_places(person)]
    to_come = _stops(person, today)
    stops = _once(_home(stop.access) for stop in to_come)[:MOST_STOPS]
    boards = [_home(one) for one in accesses if one.case.is_open]
    further = [home for home in _once(boards) if home not in stops]
    homes = {_home(one): _beside(one) for one in accesses} | {home: [] for home in yards}
    for stop in to_come:
        if (home := _home(stop.access)) in stops and may(stop.access, "work.record"):
            homes[home].insert(0, _form_of_the_day(stop, today))
    return Shelf(
        own=[*map(reverse, OWN), f"{reverse('round')}?days=1", *yards],
        stops=stops,
        boards=further[:MOST_BOARDS],
        homes=homes,
        blanked=_blanked(accesses, now - BLANKED_FOR),
    )


def _blanked(accesses: list[CaseAccess], since: datetime) -> list[str]:
    """A phone that has one of these, or a page that shows it, lets go of it at this contact."""
    return [
        reverse("picture", args=[access.case.public_id, picture])
        for access, picture in blanked_since(accesses, since)
    ]


def _stops(person: Person, today: date) -> list[Stop]:
    """Of the horses to be seen, and of those that are due without a day: the day list offers both."""
    found = round_for(person, first=today, last=today + AHEAD, today=today)
    return [stop for stop in [*found.stops, *found.unplanned] if not stop.is_done]


def _form_of_the_day(stop: Stop, today: date) -> str:
    """As the list of the day opens it: it leads on to the next stop."""
    return f"{reverse('visit_new', args=[stop.case.public_id])}?day={stop.on or today:%Y-%m-%d}"


def _home(access: CaseAccess) -> str:
    return reverse("board", args=[access.case.public_id])


def _beside(access: CaseAccess) -> list[str]:
    case = access.case.public_id
    forms = [reverse(name, args=[case]) for name, right in FORMS if may(access, right)]
    return [*forms, *(reverse("foot", args=[case, foot]) for foot in Foot.values)]


def _once(addresses: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(addresses))
