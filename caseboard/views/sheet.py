"""The plan sheet: on screen, and as the PDF that is printed."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from caseboard.lib import clock
from caseboard.lib.html_pdf import PAGE_SIZES, PdfFailed, PdfUnavailable
from caseboard.lib.limits import limit_check
from caseboard.sheet import sheet_for
from caseboard.sheet_render import sheet_context
from caseboard.sheet_render import sheet_pdf as make_pdf
from horses.access import Standing, require, standing_get
from horses.signed_in import SignedInRequest

PDFS_AN_HOUR = 60  # house default: a yard's whole herd, several times over


def _page(
    request: SignedInRequest, standing: Standing, *, trouble: str, status: int
) -> HttpResponse:
    sheet = sheet_for(standing, now=clock.now())
    context = sheet_context(sheet, standing.person)
    more = {"standing": standing, "pdf_trouble": trouble}
    return render(request, "caseboard/sheet.html", {**context, **more}, status=status)


@require_GET
def sheet(request: SignedInRequest, case_id: str) -> HttpResponse:
    standing = standing_get(request.user, case_id)
    require(standing, "case.see")
    return _page(request, standing, trouble="", status=200)


@require_GET
def sheet_pdf(request: SignedInRequest, case_id: str) -> HttpResponse:
    """The PDF. When it cannot be made the page on screen says why and shows the same content."""
    now = clock.now()
    standing = standing_get(request.user, case_id)
    require(standing, "case.see")
    asked = request.GET.get("paper", standing.person.paper)
    paper = asked if asked in PAGE_SIZES else "a4"
    limit_check("pdf", standing.person.public_id, limit=PDFS_AN_HOUR, window_s=3600, now=now)
    try:
        pdf = make_pdf(standing, paper=paper, now=now)
    except (PdfUnavailable, PdfFailed) as error:
        return _page(request, standing, trouble=str(error), status=503)
    name = slugify(standing.horse.name) or "horse"
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="plan-sheet-{name}.pdf"'},
    )
