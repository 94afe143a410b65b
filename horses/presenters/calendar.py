"""Visits as an iCalendar object (RFC 5545): what a calendar may know, and nothing that was written.

A calendar lies on other machines. It gets the horse's name, the kind of visit, the day and a link
to the board; no place, no phone number and none of anybody's words.

Decided 2026-11: a calendar gets no words, places or numbers, because its address can be read
without signing in. A visit's UID does not name the site, so that moving the site does not double
every visit.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from icalendar import Calendar, Event, vUri

from horses.models import Visit
from horses.queries.calendar_feed import FeedVisit

# Not the site's own name: a move to another address must not double every visit.
UID_AT = "visits.hoof-case-board"
PRODUCT = "-//Hoof case board//Visits//EN"
# How often a calendar is asked to look again (RFC 7986). House default.
REFRESH = timedelta(hours=1)
WHAT = {Visit.Kind.FARRIER: "Farrier", Visit.Kind.VET: "Vet visit"}


def visits_calendar(visits: Sequence[FeedVisit], *, name: str, site: str) -> bytes:
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", REFRESH, parameters={"value": "DURATION"})
    for one in visits:
        if one.visit.planned_on is not None:
            calendar.add_component(_event(one, one.visit.planned_on, site))
    return bytes(calendar.to_ical())


def _event(one: FeedVisit, planned_on: date, site: str) -> Event:
    """One visit as a whole day. Its UID never changes; SEQUENCE grows with every change to it."""
    visit = one.visit
    on = visit.kept_on or planned_on
    event = Event()
    event.add("uid", f"visit-{visit.public_id}@{UID_AT}")
    changed: datetime = visit.changed_at or visit.recorded_at
    event.add("dtstamp", changed)
    event.add("last-modified", changed)
    # A confirmation is no new version, and has its place between two of them.
    event.add("sequence", 2 * (visit.version - 1) + (visit.confirmed_at is not None))
    event.add("dtstart", on)
    event.add("dtend", on + timedelta(days=1))
    event.add("summary", f"{WHAT[Visit.Kind(visit.kind)]}: {' '.join(visit.horse.name.split())}")
    event.add("status", _status(visit))
    event.add("transp", "TRANSPARENT")  # a whole day is not taken by one visit
    event.add("class", "PRIVATE")
    event.add("url", vUri(f"{site}/cases/{one.case_id}/"))
    return event


def _status(visit: Visit) -> str:
    if visit.means.off:
        return "CANCELLED"
    sure = visit.confirmed_at is not None or visit.means.took_place
    return "CONFIRMED" if sure else "TENTATIVE"
