"""What a browser sends of the form of a visit."""

from decimal import Decimal
from typing import Any

from django.http import HttpResponse

from measurements.models import Reading
from tests.cast import Cast
from tests.horses.doors import Door

FEET = ("LF", "RF", "LH", "RH")


def sheet(*trimmed: str, **fields: Any) -> dict[str, Any]:
    """What a browser sends for an untouched form of a shod horse, with the feet given trimmed."""
    sent = {"kept_on": "2026-11-01", "angle_method": "gauge", "length_method": "tape"}
    for foot in trimmed:
        sent |= {f"{foot}-trimmed": "on", f"{foot}-shoe": "none", f"{foot}-left": "shod"}
    return sent | fields


def send(cast: Cast, *trimmed: str, who: str = "farrier", **fields: Any) -> HttpResponse:
    return Door(getattr(cast, who), cast.case).post("visit_new", **sheet(*trimmed, **fields))


def values() -> dict[tuple[str, str, str], Decimal]:
    return {(r.foot, r.quantity, r.trim_state): r.value for r in Reading.objects.all()}
