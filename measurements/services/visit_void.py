"""Taking back a whole visit: the work of it, and every reading that was written down with it."""

from datetime import datetime

from horses.access import CaseAccess
from horses.models import Visit
from horses.models.base import AppendOnly
from horses.services.deed import Deed, deed
from horses.services.visit_void import visit_void
from measurements.models import Reading
from measurements.queries.visit_readings import all_on_visit
from measurements.services.readings import reading_put_off, trim_follow


def visit_take_back(*, access: CaseAccess, public_id: str, reason: str, now: datetime) -> Visit:
    """All of it or nothing. Its readings stay in the list, struck through, and count no more."""
    with deed(access, "visit.void", now=now) as act:
        taken_off: list[Reading] = []
        visit = visit_void(
            access=access,
            public_id=public_id,
            reason=reason,
            also=lambda visit: _numbers_off(act, visit, reason, taken_off),
            now=now,
        )
        if taken_off:
            told = {
                "on": str(visit.kept_on),
                "reason": reason,
                "readings": [_told(reading) for reading in taken_off],
            }
            act.line("readings.voided", visit, after=told)
        return visit


def _numbers_off(
    act: Deed, visit: Visit, reason: str, taken_off: list[Reading]
) -> list[AppendOnly]:
    """The rows that this took. Asked once, when the visit is marked: sent again, there is nothing to
    take off."""
    why, now = f"Visit taken back: {reason}", act.now
    taken_off += all_on_visit(visit)
    rows: list[AppendOnly] = [
        reading_put_off(reading, by=act.access.person, reason=why, now=now) for reading in taken_off
    ]
    assert visit.kept_on is not None
    days = {(r.foot, r.taken_on) for r in taken_off}
    days |= {(work.foot, visit.kept_on) for work in visit.work.all()}
    for foot, on in sorted(days):  # stays where another reading of that day speaks of a trim
        rows += trim_follow(act.access.horse, foot, on, now=now)
    return rows


def _told(r: Reading) -> str:
    return f"{r.foot} {r.quantity} {r.entered_text} {r.entered_unit} {r.method} {r.trim_state}"
