"""The moments at which the calendar's rules may say something new, computed whenever a horse's rules run.

Together with the rules of the same subjects; a sentence that counts days is renewed each day.
"""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from horses.domain.foals import CLOSING_DAYS, windows_of
from horses.domain.trim_cycle import due_on
from horses.models import AlertResponse, Flag, Horse, Visit
from horses.queries.alert_quiet import QUIET_FOR
from horses.queries.board import flag_is_open, last_trimmed_on
from horses.rules.calendar import INTERVAL_GRACE
from horses.rules.engine import foresees
from horses.rules.missed_visits import asked_visit
from horses.rules.unanswered_flags import ANSWER_WITHIN


def day_start(day: date, now: datetime) -> datetime:
    """The beginning of a day where the installation is: `now` carries its zone."""
    return datetime.combine(day, time.min, tzinfo=now.tzinfo)


def tomorrow(now: datetime) -> datetime:
    """When a sentence that counts days is out of date."""
    return day_start(now.date() + timedelta(days=1), now)


@foresees
def flag_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    """When an open flag has waited too long; after that each hour, later each day."""
    flags = Flag.objects.filter(case__horse=horse, case__closed_at=None).prefetch_related("answers")
    for flag in flags:
        if not flag_is_open(flag):
            continue
        due = flag.raised_at + ANSWER_WITHIN[flag.urgency]
        yield due
        if due <= now:
            young = now - flag.raised_at < timedelta(days=1)
            yield now + timedelta(hours=1) if young else tomorrow(now)


@foresees
def answer_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    """When the day that an answer to an open alert names has passed: for that role it is back. An
    answer of an earlier version names none, and holds until the visit after it."""
    words = AlertResponse.objects.filter(alert__horse=horse, alert__cleared_at=None)
    named = words.filter(until_on__gte=now.date()).values_list("until_on", flat=True)
    days = {on for on in named if on is not None}
    for said_at in words.filter(until_on=None).values_list("said_at", flat=True):
        days.add(timezone.localtime(said_at).date() + QUIET_FOR)
        days |= {*_planned_days(horse)}
    for day in days:
        yield day_start(day + timedelta(days=1), now)


def _planned_days(horse: Horse) -> Iterable[date]:
    planned = Visit.objects.planned().filter(horse=horse)
    return [on for on in planned.values_list("planned_on", flat=True) if on is not None]


@foresees
def visit_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    """When a planned visit, or the horse's own interval, has passed; after that each day."""
    today = now.date()
    for on in _planned_days(horse):
        passed = day_start(on + timedelta(days=1), now)  # in time "nobody has said yet"
        yield passed if passed > now else tomorrow(now)
    ahead = Visit.objects.planned().filter(
        horse=horse, kind=Visit.Kind.FARRIER, planned_on__gte=today
    )
    if ahead.exists():
        return
    last, asked = last_trimmed_on(horse), asked_visit(horse, today)
    asked_on = asked.planned_on if asked else None
    since = max((day for day in (last, asked_on) if day), default=None)
    if since is not None and (due := due_on(horse, since)) is not None:
        over = day_start(due + timedelta(days=1) + INTERVAL_GRACE, now)
        yield over if over > now else tomorrow(now)


@foresees
def growth_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    """When a growing joint's window begins to close; after that each day until it has."""
    for window in windows_of(horse.born_on) if horse.born_on else ():
        begins = day_start(window.until - timedelta(days=CLOSING_DAYS), now)
        if begins > now:
            yield begins
        elif window.until >= now.date():
            yield tomorrow(now)
