"""Whether a visit may be written up as "done as last time", and what was done then.

Only where nothing about this horse's feet asks for a look of its own: no open plan item that
touches a foot, no open flag, no alert but those of the calendar, no danger in the films and no
reading that jumped, no shoe lost or put back since, no shoe taken off then. What hangs on boards that the
farrier is not on counts too; the refusal names none of it.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from horses.access import CaseAccess
from horses.models import Alert, Flag, FootWork, Horse, PlanItem, ShoeChange, Visit
from horses.queries.flags import open_among
from measurements.queries.dangers import film_dangers
from measurements.queries.jumps import jumps_standing
from measurements.queries.numbers import numbers_of

# What a visit does is not repeated from longer ago: by then much may have changed. House default.
LAST_TIME_WITHIN = timedelta(days=182)
NO_FOOT = (PlanItem.Kind.HOME, PlanItem.Kind.WORK)
OF_THE_CALENDAR = "visit."  # the beginning of the rules that look at days only


@dataclass(frozen=True)
class LastTime:
    visit: Visit
    work: tuple[FootWork, ...]


def last_time_for(access: CaseAccess, *, today: date) -> LastTime | None:
    """The last visit's work, if it may be repeated by one tap; else None."""
    horse = access.horse
    last = _last_visit(horse)
    if last is None or last.kept_on is None or not timedelta(0) < today - last.kept_on:
        return None
    if today - last.kept_on > LAST_TIME_WITHIN or _asks_for_a_look(horse, last, today):
        return None
    work = tuple(last.work.all())
    repeats = work and all(row.shoe != FootWork.Shoe.PULLED for row in work)
    return LastTime(last, work) if repeats else None


def _last_visit(horse: Horse) -> Visit | None:
    kept = Visit.objects.kept().filter(horse=horse, kind=Visit.Kind.FARRIER)
    return kept.prefetch_related("work").order_by("-kept_on", "-pk").first()


def _asks_for_a_look(horse: Horse, last: Visit, today: date) -> bool:
    items = PlanItem.objects.filter(
        case__horse=horse, case__closed_at=None, status=PlanItem.Status.OPEN
    )
    alerts = Alert.objects.filter(horse=horse, cleared_at=None, weight=Alert.Weight.ALERT)
    numbers = numbers_of(horse, today=today)
    return (
        items.exclude(kind__in=NO_FOOT).exists()
        or alerts.exclude(rule__startswith=OF_THE_CALENDAR).exists()
        or open_among(Flag.objects.filter(case__horse=horse, case__closed_at=None)).exists()
        or ShoeChange.objects.filter(horse=horse, recorded_at__gt=last.recorded_at).exists()
        or bool(film_dangers(numbers.readings))
        or bool(jumps_standing(numbers, today))
    )
