"""The readings of one visit, whichever version of it they were written down with."""

from horses.models import Visit
from horses.queries.versions import visit_versions
from measurements.models import Reading
from measurements.queries.numbers import current_readings


def visit_readings(visit: Visit) -> list[Reading]:
    """Those that stand. What a correction did not touch still hangs on the version before."""
    rows = current_readings(visit.horse).filter(visit__in=visit_versions(visit))
    return list(rows.select_related("taken_by").order_by("pk"))
