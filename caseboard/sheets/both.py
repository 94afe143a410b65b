"""The two sides of one sheet: the door sheet in front, the plan behind. Each is one page."""

from django.template.loader import render_to_string

from caseboard.case_reading import CaseReading
from caseboard.lib.pdf.fit import html_to_pdf_fitting
from caseboard.lib.pdf.parent import Paper
from caseboard.sheets.door import door_drafts, door_for, fitted_door
from caseboard.sheets.plan_fit import sheet_drafts
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.plan_height import ROOM_MM, SURE_MM, height_mm
from caseboard.sheets.render import sheet_context


def both_pdf(reading: CaseReading, *, paper: Paper) -> bytes:
    """Two pages. The front is fitted by itself; then the plan is shortened until both are two."""
    front = door_for(reading)
    door = door_drafts(front)[fitted_door(front, paper=paper).chosen]
    plans = sheet_drafts(sheet_for(reading))

    def html_of(draft: int) -> str:
        context = {**sheet_context(plans[draft]), "door": door}
        return render_to_string("caseboard/both_print.html", context)

    heights = [ROOM_MM[paper] + height_mm(plan, paper) for plan in plans]
    return html_to_pdf_fitting(
        html_of, heights, room=ROOM_MM[paper], paper=paper, most_pages=2, sure=SURE_MM
    ).pdf
