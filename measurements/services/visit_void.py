"""Taking back a whole visit: the work of it, and every reading that was written down with it."""

from datetime import datetime

from django.db import transaction

from horses.access import CaseAccess, require
from horses.ledger.append import history_append
from horses.models import Visit
from horses.models.base import AppendOnly
from horses.services.visit_void import visit_void
from measurements.models import Reading
from measurements.queries.visit_readings import visit_readings
from measurements.services.readings import reading_put_off, trim_follow


@transaction.atomic
def visit_take_back(*, access: CaseAccess, public_id: str, reason: str, now: datetime) -> Visit:
    """All of it or nothing. Its readings stay in the list, struck through, and count no more."""
    require(access, "visit.void")
    taken_off: list[Reading] = []

    def numbers_off(visit: Visit) -> list[AppendOnly]:
        """Asked once, when the visit is marked. (Sent again, there is nothing to take off.)"""
        why = f"Visit taken back: {reason}"
        taken_off.extend(visit_readings(visit))
        rows: list[AppendOnly] = [
            reading_put_off(reading, by=access.person, reason=why, now=now) for reading in taken_off
        ]
        assert visit.kept_on is not None
        feet = {r.foot for r in taken_off} | {work.foot for work in visit.work.all()}
        for foot in sorted(feet):  # stays where another reading of that day speaks of a trim
            rows += trim_follow(access.horse, foot, visit.kept_on, now=now)
        return rows

    visit = visit_void(access=access, public_id=public_id, reason=reason, also=numbers_off, now=now)
    if taken_off:
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="readings.voided",
            subject=visit.public_id,
            now=now,
            after={
                "on": str(visit.kept_on),
                "reason": reason,
                "readings": [
                    f"{r.foot} {r.quantity} {r.entered_text} {r.entered_unit} {r.method} "
                    f"{r.trim_state}"
                    for r in taken_off
                ],
            },
        )
    return visit
