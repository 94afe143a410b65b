"""A visit written up yesterday evening, and the page that puts it right."""

from datetime import date, datetime, timedelta
from typing import Any

from django.http import HttpResponse

from horses.models import Visit
from horses.queries.versions import visit_in_force
from horses.services.visits import WorkDone
from measurements.queries.numbers import current_readings
from measurements.services.visit_record import visit_write_up
from tests import build
from tests.access.fields import Offered
from tests.cast import Cast
from tests.horses.doors import Door

WHY = "I had typed 25 for 52."


DAY = date(2026, 11, 1)


def written_up(cast: Cast, now: datetime, **more: Any) -> Visit:
    """Yesterday evening: a new shoe in front, two readings, a next day."""
    fields: dict[str, Any] = {
        "work": [
            WorkDone("LF", trimmed=True, shoeing_left="shod", shoe="new", size="5"),
            WorkDone("RF", trimmed=True, shoeing_left="shod", shoe="new"),
        ],
        "readings": [build.taken("LF", "toe_angle", 45), build.taken("RF", "toe_angle", 51)],
        "words": "Front shoes.",
        "next_on": date(2026, 12, 20),
        **more,
    }
    at = now - timedelta(hours=12)
    return visit_write_up(access=cast.access(cast.farrier), kept_on=DAY, now=at, **fields)


def filled(cast: Cast, visit: Visit, **changed: Any) -> dict[str, Any]:
    """What a browser sends of the page as it comes, with these fields changed."""
    door = Door(cast.farrier, cast.case)
    page = door.get("visit_correct", visit.public_id)
    assert page.status_code == 200
    path = door.address("visit_correct", visit.public_id)
    return {**Offered(page.content.decode(), path).filled, "reason": WHY, **changed}


def correct(cast: Cast, visit: Visit, **changed: Any) -> HttpResponse:
    sent = filled(cast, visit, **changed)
    return Door(cast.farrier, cast.case).post("visit_correct", visit.public_id, **sent)


def in_force(visit: Visit) -> Visit:
    return visit_in_force(Visit.objects.get(pk=visit.pk))


def angles(cast: Cast) -> dict[str, float]:
    rows = current_readings(cast.horse).filter(quantity="toe_angle")
    return {row.foot: float(row.value) for row in rows}
