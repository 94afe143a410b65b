"""The readings of one visit, whichever version of it they were written down with.

Others may read values off a picture that hangs on a visit, on another day and of another moment: they
go when the visit is taken back, and are nobody's to change by its form.
"""

from django.db.models import QuerySet

from horses.models import Visit
from horses.queries.versions import visit_versions
from measurements.models import Reading
from measurements.queries.numbers import current_readings


def visit_readings(visit: Visit) -> list[Reading]:
    """Those that stand, of its day and by who wrote it up: its form shows them and may change them.
    What a correction did not touch still hangs on the version before."""
    assert visit.kept_on is not None
    own = _standing(visit).filter(recorded_by=visit.person_id, taken_on=visit.kept_on)
    return list(own.select_related("taken_by").order_by("pk"))


def all_on_visit(visit: Visit) -> list[Reading]:
    """Those that stand and hang on it, whoever wrote them down."""
    return list(_standing(visit).select_related("taken_by", "points__picture").order_by("pk"))


def _standing(visit: Visit) -> QuerySet[Reading]:
    return current_readings(visit.horse).filter(visit__in=visit_versions(visit))
