"""What somebody reported, taken back; a trim that a reading speaks of stays."""

from datetime import datetime

from django.db import transaction

from horses.access import CaseAccess
from horses.models import Visit
from horses.services.visit_word import report_take_back
from measurements.services.readings import trims_follow


@transaction.atomic
def reports_take_back(
    *, said: list[tuple[CaseAccess, Visit]], reason: str = "", now: datetime
) -> list[Visit]:
    """All of what was said in one breath, or nothing."""
    return [
        report_take_back(
            access=access, public_id=visit.public_id, reason=reason, also=trims_follow, now=now
        )
        for access, visit in sorted(said, key=lambda pair: pair[0].case.horse_id)
    ]
