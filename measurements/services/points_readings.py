"""Readings from the points that a person placed: the values as reckoned, each with its own error."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.access import CaseAccess
from horses.queries.pictures import pictures_for
from horses.services.deed import deed
from measurements.hoof.pictures.measured import Measured
from measurements.hoof.points import READING_OF
from measurements.hoof.quantities import Shoeing
from measurements.models import EnteredHow, PicturePoints, Reading
from measurements.queries.picture_points import method_of
from measurements.queries.picture_readings import may_become_readings
from measurements.services.readings import Taken, readings_record

NOT_YOURS = "{} placed these points. Place them yourself to write the values down."
TENTH = Decimal("0.1")
FINE = Decimal("0.000001")


def taken_from(
    row: PicturePoints, key: str, found: Measured, *, trim_state: str, shoeing: str, sure: bool
) -> Taken:
    """One value as a reading to record: rounded to a tenth, with its own error."""
    value = Decimal(str(round(found.value, 6))).quantize(TENTH)
    return Taken(
        foot=row.picture.foot,
        quantity=READING_OF[key],
        value=value,
        entered_value=value,
        entered_unit=found.unit,
        entered_text=str(value),
        method=method_of(row),
        trim_state=trim_state,
        shoeing=shoeing,
        shoe_then="" if shoeing == Shoeing.BAREFOOT else row.shoe_then,
        confirmed_odd=sure,
        entered_how=EnteredHow.PICTURE,
        entered_blind=row.blind,
        sd=Decimal(str(found.sd)).quantize(FINE),
        points_id=row.pk,
    )


def points_readings_record(
    *,
    access: CaseAccess,
    points_id: str,
    readings: Sequence[Taken],
    client_key: str = "",
    now: datetime,
) -> list[Reading]:
    """Records values of one's own points. A quantity that this picture has given already stays."""
    with deed(access, "reading.record", now=now, key=client_key) as act:
        row = PicturePoints.objects.filter(
            picture__in=pictures_for(access), public_id=points_id
        ).first()
        if row is None:
            raise Http404("no such points")
        if row.placed_by_id != access.person.pk:
            raise PermissionDenied(NOT_YOURS.format(row.placed_by))
        if not may_become_readings(row, access) or any(t.points_id != row.pk for t in readings):
            raise PermissionDenied("These values are not yours to record.")
        payload = {"points": points_id, "readings": [vars(taken) for taken in readings]}
        if earlier := act.made_before(Reading, payload):
            return list(Reading.objects.filter(points=row, recorded_at=earlier.recorded_at))
        rows = readings_record(
            access=access,
            taken_on=row.picture.taken_on,
            readings=list(readings),
            visit=row.picture.visit,
            now=now,
        )
        if rows:
            act.made(rows[0])
        return rows
