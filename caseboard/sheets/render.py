"""Draws a gathered sheet: as HTML for the printer, and as a PDF of exactly one page."""

import hashlib
from dataclasses import dataclass, replace

from django.conf import settings
from django.core.cache import cache
from django.template.loader import render_to_string
from django.urls import reverse

from caseboard.lib.pdf.fit import html_to_pdf_fitting
from caseboard.lib.pdf.parent import PAGE_SIZES, TIME_LIMIT_S, Paper
from caseboard.lib.qr import qr_drawing
from caseboard.sheets.plan_fit import sheet_drafts
from caseboard.sheets.plan_height import ROOM_MM, SURE_MM, TOP_MM, height_mm
from caseboard.sheets.plan_sides import sides_fitted
from caseboard.sheets.plan_value import Sheet
from horses.domain.urgent_signs import SOON, URGENT_SIGNS

FIT_KEPT_S = 600  # house default: how long it is remembered what fitted


@dataclass(frozen=True)
class Page:
    """One page as drawn, and what it left off in words."""

    pdf: bytes
    left_off: tuple[str, ...]
    layouts: int = 1


def code_spaced(code: str) -> str:
    """ "abcde fghjk": in two halves, as people read a code aloud."""
    return f"{code[: len(code) // 2]} {code[len(code) // 2 :]}"


def sheet_context(sheet: Sheet) -> dict[str, object]:
    """What the sheet's template takes. The code leads to the page that verifies it; that of a
    draft to the board."""
    if not sheet.side_scale:  # on the screen nothing is fitted: all is small there
        feet, scale = sides_fitted(sheet.feet, large=False)
        sheet = replace(sheet, feet=feet, side_scale=scale)
    path = reverse("sheet_verify", args=[sheet.code]) if sheet.code else ""
    address = settings.SITE_URL + (path or reverse("board", args=[sheet.case_code]))
    return {
        "sheet": sheet,
        "urgent": [sign.door for sign in URGENT_SIGNS if sign.door],
        "soon": SOON,
        "qr": qr_drawing(address),
        "code": code_spaced(sheet.code),
        "verify_at": (settings.SITE_URL + reverse("sheet_check")).split("://")[-1],
    }


def sheet_html(sheet: Sheet) -> str:
    return render_to_string("caseboard/sheet_print.html", sheet_context(sheet))


def sheet_page(sheet: Sheet, *, paper: Paper, time_limit_s: float = TIME_LIMIT_S) -> Page:
    """The sheet as a PDF of one page; what does not fit is left off in a stated order.

    Raises PdfUnavailable when a system library is missing, PdfFailed when it cannot be drawn or
    when not even the shortest draft is one page.
    """
    drafts = sheet_drafts(sheet)
    fit = html_to_pdf_fitting(
        lambda draft: sheet_html(drafts[draft]),
        [height_mm(draft, paper) for draft in drafts],
        room=ROOM_MM[paper],
        top=TOP_MM,
        paper=paper,
        time_limit_s=time_limit_s,
        sure=SURE_MM,
    )
    return Page(fit.pdf, drafts[fit.chosen].left_off, fit.layouts)


def sheet_left_off(sheet: Sheet) -> dict[str, tuple[str, ...]]:
    """What each paper would leave off, found by laying it out; remembered for a while."""
    digest = hashlib.sha256(repr(sheet).encode()).hexdigest()
    found: dict[str, tuple[str, ...]] = {}
    for paper in PAGE_SIZES:
        key = f"sheet-fit:{paper}:{digest}"
        known = cache.get(key)
        if known is None:
            known = list(sheet_page(sheet, paper=paper).left_off)
            cache.set(key, known, FIT_KEPT_S)
        found[paper] = tuple(known)
    return found
