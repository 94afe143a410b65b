"""A copy of a case taken along: the history says who took it and when."""

from datetime import datetime

from django.db import transaction

from horses.access import CaseAccess, require
from horses.ledger.append import history_append


@transaction.atomic
def case_export_note(*, access: CaseAccess, now: datetime) -> None:
    """Asked before the copy is made; the whole team reads that one was taken."""
    require(access, "case.export")
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="case.exported",
        subject=access.case.public_id,
        now=now,
    )
