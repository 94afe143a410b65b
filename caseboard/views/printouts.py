"""Papers to write on in the barn: a horse's blank visit sheet, and a farrier's day."""

from collections.abc import Callable
from datetime import date

from django.http import HttpResponse
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from caseboard.case_reading import CaseReading
from caseboard.lib import clock
from caseboard.lib.pdf.parent import PdfFailed, PdfUnavailable
from caseboard.sheets.blank import blank_pdf
from caseboard.sheets.both import both_pdf
from caseboard.sheets.day_list import round_pdf
from caseboard.sheets.door import door_pdf
from caseboard.sheets.picture_card import card_pdf
from caseboard.views.sheet import now_page, paper_asked, pdf_answer, pdf_limit
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from measurements.hoof.pictures.card_codes import CARDS


@require_GET
def blank(request: SignedInRequest, case_id: str) -> HttpResponse:
    """The horse's visit sheet to write on."""
    return _of_the_horse(request, case_id, "visit-sheet", blank_pdf)


@require_GET
def door(request: SignedInRequest, case_id: str) -> HttpResponse:
    """The sheet for the stable door."""
    return _of_the_horse(request, case_id, "door-sheet", door_pdf)


@require_GET
def both(request: SignedInRequest, case_id: str) -> HttpResponse:
    """Door sheet and plan as the two sides of one sheet."""
    return _of_the_horse(request, case_id, "both-sides", both_pdf)


def _of_the_horse(
    request: SignedInRequest, case_id: str, name: str, draw: Callable[..., bytes]
) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    paper = paper_asked(request, access.person)
    pdf_limit(access.person)
    try:
        pdf = draw(CaseReading(access, clock.now()), paper=paper)
    except (PdfUnavailable, PdfFailed) as error:
        return now_page(request, access, trouble=str(error), status=503)
    return pdf_answer(pdf, f"{name}-{slugify(access.horse.name)[:60] or 'horse'}")


@require_GET
def round_sheet(request: SignedInRequest) -> HttpResponse:
    """The person's round of one day (`?on=2026-11-25`, without it today)."""
    now = clock.now()
    try:
        on = date.fromisoformat(request.GET.get("on", "")[:10])
    except ValueError:
        on = now.date()
    pdf_limit(request.user)
    try:
        pdf = round_pdf(request.user, on, paper=paper_asked(request, request.user), now=now)
    except (PdfUnavailable, PdfFailed) as error:
        return HttpResponse(str(error), status=503, content_type="text/plain; charset=utf-8")
    return pdf_answer(pdf, f"round-{on:%Y-%m-%d}")


@require_GET
def picture_card(request: SignedInRequest) -> HttpResponse:
    """Two cards to stand beside a foot on a picture (`?number=3` and the next, without it 1 and 2)."""
    asked = request.GET.get("number", "")
    number = int(asked) if asked.isdecimal() and len(asked) < 4 else 1
    paper = paper_asked(request, request.user)
    pdf_limit(request.user)
    try:
        pdf = card_pdf(number if 1 <= number <= CARDS else 1, paper)
    except (PdfUnavailable, PdfFailed) as error:
        return HttpResponse(str(error), status=503, content_type="text/plain; charset=utf-8")
    return pdf_answer(pdf, f"picture-card-{paper}")
