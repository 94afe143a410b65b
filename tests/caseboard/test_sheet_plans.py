"""Generated plans: one page each, every essential part on it, no text too small, nothing cut off.

The suite takes the two ends; CASEBOARD_SHEET_PLANS=200 takes them all.
"""

import io
import math
import os
import subprocess
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from caseboard.lib.html_pdf import Paper, pango_missing
from caseboard.sheet_doc import Sheet, freeze, thaw
from caseboard.sheet_fit import FITS, fitted
from caseboard.sheet_render import Page, sheet_page
from tests.caseboard.sheet_plans import plan

pytestmark = pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")
ALL = os.environ.get("CASEBOARD_SHEET_PLANS")
# Nothing at all, and forty items: the ends of what there is.
PLANS = range(int(ALL)) if ALL else (0, 2)
PAPERS: tuple[Paper, ...] = ("a4", "letter")
LEAST_PT, LEAST_VALUE_PT = 9.0, 11.0
MARGIN_MM = 4.0


def _sizes(page: pypdf.PageObject) -> dict[str, float]:
    """The smallest printed size of every piece of text."""
    found: dict[str, float] = {}

    def seen(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            scale = math.hypot(tm[2], tm[3]) * math.hypot(cm[2], cm[3])
            found[text.strip()] = min(found.get(text.strip(), 99.0), size * scale)

    page.extract_text(visitor_text=seen)
    return found


def _essential(sheet: Sheet) -> list[str]:
    parts = ["Call your vet now", "Next visit", "Out of hours", "Date:", "What each of us does"]
    parts += [foot.label.capitalize() for foot in sheet.feet]
    parts += [f"{role.capitalize()}: nobody yet" for role in sheet.vacant]
    parts += ["Draft made 2 November 2026"] if sheet.is_draft else ["Sheet 4", "abcde fghjk"]
    parts += ["Goal partly met."] if sheet.outcome else []
    parts += ["Not agreed yet: item"] if sheet.open_items else []
    return parts


def _check(sheet: Sheet, page: Page, folder: Path) -> None:
    reader = pypdf.PdfReader(io.BytesIO(page.pdf))
    assert len(reader.pages) == 1
    text = " ".join(reader.pages[0].extract_text().split())
    for part in _essential(sheet):
        assert part in text, part
    for role in {person.role for person in sheet.people}:
        assert f"{role.capitalize()}:" in text
    bands = sum(len(value.bands) for foot in sheet.feet for value in foot.values)
    assert text.count("after the trim") >= bands
    for words in page.left_off:
        assert words in text
    small = {t: s for t, s in _sizes(reader.pages[0]).items() if s < LEAST_PT - 0.05}
    assert small == {}
    _look(page.pdf, folder)


def _look(pdf: bytes, folder: Path) -> None:
    """Drawn as a printer does: the edge of the paper stays free of ink, and there is ink on it."""
    file = folder / "page.pdf"
    file.write_bytes(pdf)
    out = folder / "page"
    subprocess.run(
        ["pdftoppm", "-r", "50", "-gray", "-singlefile", "-png", file, out], check=True, timeout=60
    )
    picture = Image.open(out.with_suffix(".png")).convert("L")
    edge = round(MARGIN_MM / 25.4 * 50)
    inner = picture.crop((edge, edge, picture.width - edge, picture.height - edge))
    assert min(inner.tobytes()) < 60
    dark = picture.point(lambda grey: 255 if grey < 120 else 0)
    left, top, right, bottom = dark.getbbox() or (0, 0, 0, 0)
    assert min(left, top, picture.width - right, picture.height - bottom) >= edge


@pytest.mark.parametrize("seed", PLANS)
def test_a_generated_plan_is_one_clear_page(seed: int, tmp_path: Path) -> None:
    sheet = plan(seed)
    _check(sheet, sheet_page(sheet, paper=PAPERS[seed % 2], time_limit_s=120), tmp_path)


@pytest.mark.parametrize("seed", range(40))
def test_no_item_goes_without_being_named(seed: int) -> None:
    """Every draft keeps an item or says that it is on the board only; a cut one says so too."""
    sheet = plan(seed)
    for fit in FITS:
        draft = fitted(sheet, fit)
        if len(draft.items) < len(sheet.items):
            assert any("on the board only" in words for words in draft.left_off)
        before = {item.number: item for item in sheet.items}
        for item in draft.items:
            assert item.shortened or item.text == before[item.number].text


@pytest.mark.parametrize("seed", range(40))
def test_what_nobody_should_act_on_stays_longest(seed: int) -> None:
    sheet = plan(seed)
    last = fitted(sheet, FITS[-1])
    essential = [item.number for item in sheet.items if item.essential]
    kept = [item.number for item in last.items if item.essential]
    assert len(kept) == min(len(essential), 2)


def test_drafts_follow_the_stated_order() -> None:
    first = [(fit.dense, fit.charts, fit.closed, fit.text) for fit in FITS[:6]]
    assert first == [
        (False, 2, True, None), (True, 2, True, None), (True, 1, True, None),
        (True, 0, True, None), (True, 0, False, None), (True, 0, False, 500),
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(12))
def test_any_sheet_thaws_to_itself(seed: int) -> None:
    assert thaw(freeze(plan(seed))) == plan(seed)


def test_the_page_is_tagged_titled_and_has_its_fonts() -> None:
    sheet = replace(plan(3), horse_name="Juniper")
    reader = pypdf.PdfReader(io.BytesIO(sheet_page(sheet, paper="a4", time_limit_s=120).pdf))
    catalog = reader.trailer["/Root"].get_object()
    assert catalog["/MarkInfo"]["/Marked"]  # type: ignore[index]
    assert catalog["/Lang"] == "en"  # type: ignore[index]
    assert "/StructTreeRoot" in catalog  # type: ignore[operator]
    assert "Juniper" in str(reader.metadata and reader.metadata.title)
    metadata = catalog["/Metadata"].get_object().get_data()  # type: ignore[index]
    assert b"pdfuaid:part" in metadata
    fonts = reader.pages[0]["/Resources"]["/Font"].get_object()  # type: ignore[index]
    for font in fonts.values():
        below = font.get_object()["/DescendantFonts"][0].get_object()
        assert "/FontFile3" in below["/FontDescriptor"] or "/FontFile2" in below["/FontDescriptor"]


def test_the_same_content_gives_the_same_bytes() -> None:
    sheet = plan(0)
    assert (
        sheet_page(sheet, paper="a4", time_limit_s=120).pdf
        == sheet_page(sheet, paper="a4", time_limit_s=120).pdf
    )
