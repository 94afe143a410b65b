"""Issued plan sheets as people read them: the list, one sheet, how far its drawing is."""

from dataclasses import dataclass

from django.db.models import QuerySet
from django.http import Http404

from horses.access import CaseAccess, readable_by
from horses.models import HistoryLine, Job, PlanSheet, SheetPaper
from horses.models.sheet import DRAW

# Lines that change nothing a sheet says. The board's own line about an alert does.
SAYS_NOTHING_NEW = ("alert.seen", "sheet.issued")


@dataclass(frozen=True)
class SheetDrawing:
    """How far the page for one paper is: done, waiting, drawing, again (tried in vain), failed."""

    paper: str
    label: str
    state: str
    left_off: tuple[str, ...] = ()

    @property
    def is_done(self) -> bool:
        return self.state == "done"

    @property
    def is_waiting(self) -> bool:
        return self.state == "waiting"

    @property
    def is_under_way(self) -> bool:
        return self.state == "drawing"

    @property
    def is_tried_again(self) -> bool:
        return self.state == "again"

    @property
    def has_failed(self) -> bool:
        return self.state == "failed"


def sheets_for(access: CaseAccess) -> QuerySet[PlanSheet]:
    """The sheets issued on this case, newest first, without what they say."""
    return PlanSheet.objects.filter(case=access.case).defer("content")


def papers_for(access: CaseAccess) -> QuerySet[SheetPaper]:
    """The drawn pages of every sheet issued on this case, as they were printed."""
    papers = SheetPaper.objects.filter(sheet__case=access.case)
    return papers.select_related("sheet").order_by("sheet__number", "pk")


def sheet_get(access: CaseAccess, number: int) -> PlanSheet:
    sheet = PlanSheet.objects.filter(case=access.case, number=number).first()
    if sheet is None:
        raise Http404("no such sheet")
    return sheet


def sheet_before(access: CaseAccess, number: int | None = None) -> PlanSheet | None:
    """The last sheet issued on this case, or the last one before a number."""
    sheets = PlanSheet.objects.filter(case=access.case)
    return (sheets if number is None else sheets.filter(number__lt=number)).first()


def sheet_by_code(code: str) -> PlanSheet | None:
    """The sheet that carries this code, for whoever holds the paper. What may be told of it to
    whom is the page's business."""
    return PlanSheet.objects.filter(code=code).select_related("case__horse").first()


def sheet_at_work(public_id: str) -> PlanSheet:
    """For the worker that draws it."""
    return PlanSheet.objects.get(public_id=public_id)


def superseded_by(sheet: PlanSheet) -> PlanSheet | None:
    """The newest sheet of the case, when it is not this one."""
    newest = PlanSheet.objects.filter(case=sheet.case_id).defer("content").first()
    return newest if newest is not None and newest.pk != sheet.pk else None


def changes_since(access: CaseAccess, sheet: PlanSheet) -> int:
    """How many lines of history were written since that might change what the sheet says."""
    lines = HistoryLine.objects.filter(
        readable_by(access), case=sheet.case_id, seq__gt=sheet.history_seq
    )
    return lines.exclude(verb__in=SAYS_NOTHING_NEW).count()


def paper_of(sheet: PlanSheet, paper: str) -> SheetPaper | None:
    return SheetPaper.objects.filter(sheet=sheet, paper=paper).first()


def drawings_of(sheet: PlanSheet) -> list[SheetDrawing]:
    """Where the drawing of each paper stands."""
    done = {p.paper: p for p in SheetPaper.objects.filter(sheet=sheet).defer("pdf")}
    keys = [f"{sheet.public_id}:{paper}" for paper in SheetPaper.Paper.values]
    work = {row.key: row for row in Job.objects.filter(kind=DRAW, key__in=keys)}
    found = []
    for paper, key in zip(SheetPaper.Paper, keys, strict=True):
        if paper in done:
            found.append(SheetDrawing(paper, paper.label, "done", tuple(done[paper].left_off)))
        else:
            found.append(SheetDrawing(paper, paper.label, _state(work.get(key))))
    return found


def _state(row: Job | None) -> str:
    if row is None or row.set_aside_at is not None:
        return "failed"
    if row.lease_until is not None:
        return "drawing"
    return "again" if row.attempts else "waiting"
