"""Plan sheets: issued once, kept as they were, and drawn by a worker after the commit."""

import hashlib
import secrets
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.urls import reverse

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess
from horses.jobs.outbox import SHEETS, enqueue
from horses.ledger.canonical import canonical_text
from horses.models import Case, HistoryLine, PlanSheet, SheetPaper
from horses.models.base import ID_ALPHABET
from horses.models.sheet import DRAW
from horses.queries.board import without_looks
from horses.services.deed import deed

CODE_LENGTH = 10  # 31^10, about 50 bits, and asking is limited: cannot be guessed; house default


def new_sheet_code() -> str:
    return "".join(secrets.choice(ID_ALPHABET) for _ in range(CODE_LENGTH))


def sheet_hash(content: str) -> str:
    return hashlib.sha256(content.encode()).hexdigest()


def _written_since(case: Case, seen_seq: int) -> bool:
    """A look in passing is no part of a sheet."""
    return without_looks(HistoryLine.objects.filter(case=case, seq__gt=seen_seq)).exists()


def sheet_issue(
    *,
    access: CaseAccess,
    content: dict[str, Any],
    seen_seq: int,
    client_key: str = "",
    now: datetime,
) -> PlanSheet:
    """Keeps the sheet exactly as it stands and asks for its pages.

    `content` is what it says, read when the case's history ended at `seen_seq`; its number and
    its code are given here. Raises Conflict when something was written meanwhile.
    """
    with deed(access, "sheet.issue", now=now, key=client_key) as act:
        payload = {"case": access.case.public_id, "seen": seen_seq}
        if earlier := act.made_before(PlanSheet, payload):
            return earlier
        case = Case.objects.select_for_update(no_key=True).get(pk=access.case.pk)
        if seen_seq > case.last_seq or _written_since(case, seen_seq):
            raise Conflict({"board": seen_seq}, {"board": case.last_seq}, version=case.last_seq)
        number, code = case.sheets.count() + 1, new_sheet_code()
        text = canonical_text({**content, "number": number, "code": code})
        sheet = act.row(
            PlanSheet.objects.create(
                case=case,
                number=number,
                code=code,
                content=text,
                content_hash=sheet_hash(text),
                history_seq=case.last_seq + 1,
                issued_by=access.person,
                issued_name=str(access.person),
                issued_role=access.role,
                issued_at=now,
            )
        )
        after = {"number": number, "code": code, "hash": sheet.content_hash}
        act.line("sheet.issued", sheet, after=after)
        subject = f"{access.horse.name}: {access.person} issued plan sheet {number}"
        path = reverse("sheet_issued", args=[case.public_id, number])
        act.tell("sheet.issued", sheet, subject, path=path)
        sheet_draw_want(sheet, now=now)
        return act.made(sheet)


def sheet_draw_want(sheet: PlanSheet, *, now: datetime) -> None:
    """Asks, in the caller's transaction, for the pages that are not there yet."""
    there = set(sheet.papers.values_list("paper", flat=True))
    for paper in SheetPaper.Paper.values:
        if paper not in there:
            enqueue(DRAW, f"{sheet.public_id}:{paper}", now=now, rank=SHEETS)


def sheet_draw_again(*, access: CaseAccess, sheet: PlanSheet, now: datetime) -> None:
    """Tries the drawing once more, whatever became of the tries before."""
    with deed(access, "sheet.issue", now=now):
        sheet_draw_want(sheet, now=now)


def sheet_paper_keep(
    sheet: PlanSheet, paper: str, pdf: bytes, left_off: list[str], *, now: datetime
) -> None:
    """Keeps a page that was drawn. Of two workers the first one's page stays."""
    try:
        with transaction.atomic():
            SheetPaper.objects.create(
                sheet=sheet,
                paper=paper,
                pdf=pdf,
                sha256=hashlib.sha256(pdf).hexdigest(),
                left_off=left_off,
                drawn_at=now,
            )
    except IntegrityError:
        if not SheetPaper.objects.filter(sheet=sheet, paper=paper).exists():
            raise
