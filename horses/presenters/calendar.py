"""Visits as an iCalendar object (RFC 5545): what a calendar may know, and nothing that was written.

A calendar lies on other machines. It gets the horse's name, the kind of visit, the day, its time
where one was said, and a link to the board; no phone number and none of anybody's words. The place
stands there only where the calendar's own person switched it on.

Decided 2026-11: a calendar gets no words or numbers, because its address can be read without
signing in. A visit's UID does not name the site, so that moving the site does not double every
visit. A time is written in UTC, made at each reading from the clock and the zone that were said: a
calendar needs no tables of zones for it.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from icalendar import Calendar, Event, vUri

from horses.models import Visit
from horses.queries.calendar_feed import FeedVisit
from horses.queries.places import place_key, place_name

# Not the site's own name: a move to another address must not double every visit.
UID_AT = "visits.hoof-case-board"
PRODUCT = "-//Hoof case board//Visits//EN"
# How often a calendar is asked to look again (RFC 7986). House default.
REFRESH = timedelta(hours=1)
WHAT = {Visit.Kind.FARRIER: "Farrier", Visit.Kind.VET: "Vet visit"}


# A visit with a time takes this long in a calendar; nobody says how long it takes. House default.
TAKES = timedelta(hours=1)


def visits_calendar(
    visits: Sequence[FeedVisit], *, name: str, site: str, with_place: bool = False
) -> bytes:
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", REFRESH, parameters={"value": "DURATION"})
    for one in visits:
        if one.visit.planned_on is not None:
            event = _event(one, one.visit.planned_on, site)
            if with_place and place_key(one.visit.horse):
                event.add("location", place_name(one.visit.horse))
            calendar.add_component(event)
    return bytes(calendar.to_ical())


def _event(one: FeedVisit, planned_on: date, site: str) -> Event:
    """One visit, as a whole day where no time was said. Its UID never changes; SEQUENCE grows with
    every change to it."""
    visit = one.visit
    on = visit.kept_on or planned_on
    event = Event()
    event.add("uid", f"visit-{visit.public_id}@{UID_AT}")
    changed: datetime = visit.changed_at or visit.recorded_at
    event.add("dtstamp", changed)
    event.add("last-modified", changed)
    # A confirmation is no new version, and has its place between two of them.
    event.add("sequence", 2 * (visit.version - 1) + (visit.confirmed_at is not None))
    start = _moment(visit) if on == planned_on else None
    event.add("dtstart", start or on)
    event.add("dtend", start + TAKES if start else on + timedelta(days=1))
    event.add("summary", f"{WHAT[Visit.Kind(visit.kind)]}: {' '.join(visit.horse.name.split())}")
    event.add("status", _status(visit))
    event.add("transp", "TRANSPARENT")  # the day is not taken by one visit
    event.add("class", "PRIVATE")
    event.add("url", vUri(f"{site}/cases/{one.case_id}/"))
    return event


def _moment(visit: Visit) -> datetime | None:
    """When it begins, in UTC; None where no time was said, or the zone is not known here."""
    if visit.planned_on is None or visit.planned_time is None:
        return None
    try:
        zone = ZoneInfo(visit.planned_zone)
    except (ValueError, ZoneInfoNotFoundError):
        return None
    return datetime.combine(visit.planned_on, visit.planned_time, zone).astimezone(UTC)


def _status(visit: Visit) -> str:
    if visit.means.off:
        return "CANCELLED"
    sure = visit.confirmed_at is not None or visit.means.took_place
    return "CONFIRMED" if sure else "TENTATIVE"
