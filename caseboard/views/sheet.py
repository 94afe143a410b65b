"""The plan sheet: as it stands now, issued, drawn, and read again years later."""

from typing import Any

from django import forms
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods

from caseboard.case_reading import CaseReading
from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.limits import limit_check
from caseboard.lib.pdf.parent import PAGE_SIZES, Paper, PdfFailed, PdfUnavailable
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.plan_value import Sheet, freeze, thaw
from caseboard.sheets.render import sheet_context, sheet_left_off, sheet_page
from caseboard.sheets.wait import is_under_way, page_or_none
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.keyed import KeyedForm
from horses.ledger.append import content_of
from horses.models import Person, PlanSheet
from horses.queries.plan_sheets import (
    changes_since,
    drawings_of,
    paper_of,
    sheet_get,
    sheets_for,
    superseded_by,
)
from horses.services.sheets import sheet_draw_again, sheet_issue
from horses.views.attempt import attempt
from horses.views.page import case_page

STALE = (
    "The board has changed since you looked at this sheet. It is shown as it stands now: look it "
    "over, then issue it."
)


ASK_AGAIN_S = 4  # house default


class IssueForm(KeyedForm):
    """Nothing is typed: it carries which state of the board was looked at."""

    seen_seq = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)


def paper_asked(request: HttpRequest, person: Person) -> Paper:
    asked = request.GET.get("paper", person.paper)
    return "letter" if asked == "letter" else "a4"


def pdf_limit(person: Person) -> None:
    limit_check(
        "pdf",
        person.public_id,
        limit=settings.LIMIT_PDFS,
        window_s=3600,
        now=clock.now(),
        what="papers",
    )


def pdf_answer(pdf: bytes, name: str) -> HttpResponse:
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}.pdf"'},
    )


# -- as it stands now


def now_page(
    request: SignedInRequest, access: CaseAccess, *, trouble: str = "", status: int = 200
) -> HttpResponse:
    sheet = sheet_for(CaseReading(access, clock.now()))
    issued = list(sheets_for(access)[:20])
    shown = {
        **sheet_context(sheet),
        "pdf_trouble": trouble,
        "issued": issued,
        "has_older": len(issued) > 1,
        "changes": changes_since(access, issued[0]) if issued else 0,
    }
    return case_page(request, access, "caseboard/sheet.html", shown, status=status)


@require_GET
def sheet(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    return now_page(request, access)


@require_GET
def sheet_pdf(request: SignedInRequest, case_id: str) -> HttpResponse:
    """The draft as a PDF. When it cannot be made the page on screen says why and shows the same
    content."""
    access = access_get(request.user, case_id)
    require(access, "case.see")
    paper = paper_asked(request, access.person)
    key = (access.case.public_id, access.person.public_id, paper, str(access.case.last_seq))
    if not is_under_way(key):
        pdf_limit(access.person)
    draft = sheet_for(CaseReading(access, clock.now()))
    try:
        page = page_or_none(key, lambda: sheet_page(draft, paper=paper))
    except (PdfUnavailable, PdfFailed) as error:
        return now_page(request, access, trouble=str(error), status=503)
    if page is None:
        return _being_drawn(request, access)
    return pdf_answer(page.pdf, f"plan-sheet-{_slug(access)}-draft")


def _being_drawn(request: SignedInRequest, access: CaseAccess) -> HttpResponse:
    """The machine is busy: the page says so and asks again by itself."""
    answer = case_page(request, access, "caseboard/sheet_wait.html", {}, status=202)
    answer["Refresh"] = str(ASK_AGAIN_S)
    return answer


def _slug(access: CaseAccess) -> str:
    return slugify(access.horse.name)[:60] or "horse"


# -- issuing


@require_http_methods(["GET", "POST"])
def sheet_issue_page(request: SignedInRequest, case_id: str) -> HttpResponse:
    """What is about to be issued, what is open on it and what does not fit; then the issuing."""
    access = access_get(request.user, case_id)
    require(access, "sheet.issue")
    if request.method != "POST":
        return _issue_page(request, access, _issue_form(access))
    now = clock.now()
    form = IssueForm(request.POST)
    if not form.is_valid():
        return _issue_page(request, access, _issue_form(access), status=422)
    sheet = sheet_for(CaseReading(access, now))
    answer = attempt(
        form,
        lambda: sheet_issue(
            access=access,
            content=freeze(sheet),
            seen_seq=form.cleaned_data["seen_seq"],
            client_key=form.key,
            now=now,
        ),
    )
    if answer.conflict is not None:
        fresh = access_get(request.user, case_id)
        return _issue_page(request, fresh, _issue_form(fresh), trouble=STALE, status=409)
    if answer.made is None:
        return _issue_page(request, access, form, status=answer.status)
    saved(request, f"Sheet {answer.made.number} is issued. Its pages are being drawn.")
    return redirect("sheet_issued", case_id, answer.made.number)


def _issue_form(access: CaseAccess) -> IssueForm:
    return IssueForm(initial={"seen_seq": access.case.last_seq})


def _issue_page(
    request: SignedInRequest,
    access: CaseAccess,
    form: IssueForm,
    *,
    trouble: str = "",
    status: int = 200,
) -> HttpResponse:
    sheet = sheet_for(CaseReading(access, clock.now()))
    left_off, pdf_trouble = _left_off(sheet)
    shown = {
        **sheet_context(sheet),
        "form": form,
        "trouble": trouble,
        "pdf_trouble": pdf_trouble,
        "left_off": left_off,
        "next_number": (sheets_for(access).count() + 1),
    }
    return case_page(request, access, "caseboard/sheet_issue.html", shown, status=status)


def _left_off(sheet: Sheet) -> tuple[list[dict[str, Any]], str]:
    """What each paper leaves off, laid out as it will be: with a number and a code."""
    try:
        found = sheet_left_off(sheet.issued_as(999, "x" * 10))
    except (PdfUnavailable, PdfFailed) as error:
        return [], str(error)
    labels = {"a4": "A4", "letter": "Letter"}
    return [{"label": labels[paper], "words": words} for paper, words in found.items()], ""


# -- one issued sheet


def _issued_shown(access: CaseAccess, issued: PlanSheet) -> dict[str, Any]:
    drawings = drawings_of(issued)
    by_paper = {drawing.paper: drawing for drawing in drawings}
    return {
        "issued": issued,
        "drawings": drawings,
        "is_drawing": any(d.state not in ("done", "failed") for d in drawings),
        "has_failed": any(d.state in ("failed", "again") for d in drawings),
        "newer": superseded_by(issued),
        "previous": sheets_for(access).filter(number__lt=issued.number).first(),
        "mine": by_paper[paper_of_person(access)],
    }


def paper_of_person(access: CaseAccess) -> str:
    return access.person.paper if access.person.paper in PAGE_SIZES else "a4"


@require_http_methods(["GET", "POST"])
def sheet_issued(request: SignedInRequest, case_id: str, number: int) -> HttpResponse:
    """The sheet as it was issued; posting asks for the pages once more."""
    access = access_get(request.user, case_id)
    require(access, "case.see")
    issued = sheet_get(access, number)
    if request.method == "POST":
        sheet_draw_again(access=access, sheet=issued, now=clock.now())
        return redirect("sheet_issued", case_id, number)
    sheet = thaw(content_of(issued.content))
    shown = {
        **sheet_context(sheet),
        **_issued_shown(access, issued),
        "changes": changes_since(access, issued),
    }
    return case_page(request, access, "caseboard/sheet_issued.html", shown)


@require_GET
def sheet_progress(request: SignedInRequest, case_id: str, number: int) -> HttpResponse:
    """How far the drawing is: the part of the page that asks again by itself."""
    access = access_get(request.user, case_id)
    require(access, "case.see")
    shown = _issued_shown(access, sheet_get(access, number))
    return case_page(request, access, "caseboard/sheet_progress.html", shown)


@require_GET
def sheet_issued_pdf(
    request: SignedInRequest, case_id: str, number: int, paper: str
) -> HttpResponse:
    """The page as it was drawn, byte for byte; before that, the page that says how far it is."""
    access = access_get(request.user, case_id)
    require(access, "case.see")
    issued = sheet_get(access, number)
    drawn = paper_of(issued, paper)
    if drawn is None:
        return redirect("sheet_issued", case_id, number)
    return pdf_answer(bytes(drawn.pdf), f"plan-sheet-{_slug(access)}-{number}")
