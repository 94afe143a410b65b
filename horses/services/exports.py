"""A copy of a case taken along: the history says who took it and when."""

from datetime import datetime

from horses.access import CaseAccess
from horses.services.deed import deed


def case_export_note(*, access: CaseAccess, now: datetime) -> None:
    """Asked before the copy is made; the whole team reads that one was taken."""
    with deed(access, "case.export", now=now) as act:
        act.line("case.exported", access.case)
