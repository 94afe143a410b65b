"""Draws a gathered sheet: as HTML for the printer, and as a PDF of exactly one page."""

from datetime import datetime

from django.template.loader import render_to_string

from caseboard.lib.html_pdf import Paper, html_to_pdf_fitting
from caseboard.sheet import SOON, URGENT, Sheet, sheet_drafts, sheet_for
from horses.access import Standing
from horses.models import Person


def sheet_context(sheet: Sheet, person: Person) -> dict[str, object]:
    """What the sheet's template takes; the person decides left/right or near/off."""
    return {"sheet": sheet, "urgent": URGENT, "soon": SOON, "user": person}


def sheet_html(sheet: Sheet, person: Person) -> str:
    return render_to_string("caseboard/sheet_print.html", sheet_context(sheet, person))


def sheet_pdf(standing: Standing, *, paper: Paper, now: datetime) -> bytes:
    """The plan sheet as a PDF of one page; what does not fit is left off in a stated order.

    Raises PdfUnavailable when a system library is missing, PdfFailed when it cannot be drawn.
    """
    drafts = sheet_drafts(sheet_for(standing, now=now))
    documents = [sheet_html(draft, standing.person) for draft in drafts]
    pdf, _ = html_to_pdf_fitting(documents, paper=paper, most_pages=1)
    return pdf
