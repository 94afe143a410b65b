"""A copy of a case taken along: the history says who took it and when."""

from datetime import datetime

from django.db import transaction

from horses.access import Standing, require
from horses.ledger.append import history_append


@transaction.atomic
def case_export_note(*, standing: Standing, now: datetime) -> None:
    """Asked before the copy is made; the whole team reads that one was taken."""
    require(standing, "case.export")
    history_append(
        case=standing.case, actor=standing.person, role=standing.role, verb="case.exported",
        subject=standing.case.public_id, now=now,
    )  # fmt: skip
