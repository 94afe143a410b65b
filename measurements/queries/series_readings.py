"""The readings of one series as its page lists them, and those its chart shows as corrected."""

from django.db.models import Case, QuerySet, When

from horses.access import CaseAccess
from measurements.hoof.quantities import TrimState
from measurements.models import Reading
from measurements.queries.numbers import Numbers, readings_for
from measurements.queries.reading_values import ReadingValue, reading_values


def series_readings(access: CaseAccess, foot: str, quantity: str) -> QuerySet[Reading]:
    """All, newest first. A reading that was taken off comes once, struck through; the row that took
    it off does not."""
    last_of_the_day = Case(When(trim_state=TrimState.AFTER, then=1), default=0)
    rows = readings_for(access).filter(foot=foot, quantity=quantity, is_void=False)
    return rows.order_by("-taken_on", last_of_the_day.desc(), "-pk")


def struck_values(
    access: CaseAccess, numbers: Numbers, foot: str, quantity: str
) -> list[ReadingValue]:
    """Those that no longer stand."""
    rows = series_readings(access, foot, quantity).exclude(corrected_by=None).order_by("pk")
    return numbers.worked_out(("struck", foot, quantity), lambda: reading_values(rows))
