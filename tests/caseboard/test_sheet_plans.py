"""Generated plans: one page each, every essential part on it, no text too small, nothing cut off.

The suite takes the two ends; CASEBOARD_SHEET_PLANS=200 takes them all.
"""

import io
import math
import os
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from caseboard.lib.pdf.parent import Paper, PdfFailed, pango_missing
from caseboard.lib.words import items_words, unbroken
from caseboard.sheets.plan_fit import fitted, short_name
from caseboard.sheets.plan_steps import FITS, PlanFit
from caseboard.sheets.plan_value import Sheet, SheetPerson, freeze, thaw
from caseboard.sheets.render import Page, sheet_page
from tests.caseboard.sheet_plans import busy, fattest, plan

pytestmark = pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")
ALL = os.environ.get("CASEBOARD_SHEET_PLANS")
# Nothing at all, and forty items: the ends of what there is.
PLANS = range(int(ALL)) if ALL else (0, 2)
PAPERS: tuple[Paper, ...] = ("a4", "letter")
LEAST_PT, LEAST_VALUE_PT = 9.0, 11.0
MARGIN_MM = 4.0
MOST_LAYOUTS = 6  # house default: a few seconds for the worst


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
    parts += ["Draft made 2 Nov 2026"] if sheet.is_draft else ["Sheet 4", "abcde fghjk"]
    parts += ["Goal partly met."] if sheet.outcome else []
    parts += [f"Not agreed yet: {sheet.open_words}."] if sheet.open_numbers else []
    parts += [f"Do not act on {sheet.hold_words} before"] if sheet.essential_open else []
    nothing = "Nothing is left to do on this case" if sheet.outcome else "Nothing is planned yet"
    parts += [] if sheet.items else [nothing]
    parts += [f"Careful: {sheet.danger}"] if sheet.danger else []
    return parts


def _bands_left_off(page: Page) -> int:
    """How many bands the page says are on the board only."""
    said = re.findall(
        r"(\d+) more (?:measurements? with a band|bands?) on the board", " ".join(page.left_off)
    )
    return sum(int(count) for count in said)


def _check(sheet: Sheet, page: Page, folder: Path) -> None:
    reader = pypdf.PdfReader(io.BytesIO(page.pdf))
    assert len(reader.pages) == 1
    text = " ".join(reader.pages[0].extract_text().split())
    for part in _essential(sheet):
        assert part in text, part
    for role in {person.role for person in sheet.people}:
        assert f"{role.capitalize()}:" in text
    bands = sum(len(value.bands) for foot in sheet.feet for value in foot.values)
    assert text.count("after the trim") >= bands - _bands_left_off(page)
    assert sheet.open_points or "Nothing is written down as wrong" in text
    assert not (sheet.open_points and "Nothing is written down as wrong" in text)
    for words in page.left_off:
        assert words in text
    sizes = _sizes(reader.pages[0])
    assert {t: s for t, s in sizes.items() if s < LEAST_PT - 0.05} == {}
    said = {value.value for foot in sheet.feet for value in foot.values if value.value}
    values = {t: s for t, s in sizes.items() if t in said}
    assert bool(values) == bool(said)
    assert {t: s for t, s in values.items() if s < LEAST_VALUE_PT - 0.05} == {}
    assert page.layouts <= MOST_LAYOUTS
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
    assert len(kept) == min(len(essential), FITS[-1].items or 0)


@pytest.mark.parametrize("seed", range(40))
def test_what_is_not_agreed_keeps_its_number_when_it_is_left_off(seed: int) -> None:
    sheet = plan(seed)
    for fit in FITS:
        draft = fitted(sheet, fit)
        assert draft.open_words == sheet.open_words
        assert draft.hold_words == sheet.hold_words


def test_many_numbers_are_told_in_runs() -> None:
    assert items_words([3]) == "item 3"
    assert items_words([9, 1, 2, 4, 5, 6, 7]) == "items 1, 2, 4 to 7, 9"
    assert items_words(range(1, 401, 2)) == "items between 1 and 399 (200 of them)"


def test_open_points_that_do_not_fit_are_not_told_as_none() -> None:
    draft = fitted(replace(plan(1), open_points=("hot", "sore")), FITS[-1])
    assert draft.open_points == ("2 open points: on the board only.",)


@pytest.mark.parametrize("fit", FITS)
def test_everyone_who_is_cut_off_is_counted_and_no_role_goes_first(fit: PlanFit) -> None:
    owners = tuple(SheetPerson("owner", f"Owner {n}", "1") for n in range(9))
    team = (*owners, SheetPerson("vet", "Vera", "2"))
    draft = fitted(replace(plan(1), people=team, signers=team), fit)
    assert "vet" in {person.role for person in draft.people}
    assert [person.role for person in draft.signers] == ["owner"] * 3 + ["vet"]
    assert "6 more people have to sign elsewhere." in draft.left_off
    if len(draft.people) < 10:
        assert f"{10 - len(draft.people)} more people are on the board." in draft.left_off


@pytest.mark.parametrize("seed", range(40))
def test_every_measurement_that_is_left_off_is_said(seed: int) -> None:
    sheet = plan(seed)
    had = sum(len(foot.values) for foot in sheet.feet)
    for fit in FITS:
        draft = fitted(sheet, fit)
        if sum(len(foot.values) for foot in draft.feet) < had:
            said = " ".join(draft.left_off)
            assert "without a band" in said or "with a band" in said


@pytest.mark.parametrize("paper", PAPERS)
def test_even_the_fattest_sheet_is_one_page(paper: Paper, tmp_path: Path) -> None:
    """Every text as long and as wide as may be, so that any other sheet's last draft is shorter."""
    page = sheet_page(fattest(), paper=paper, time_limit_s=120)
    assert len(pypdf.PdfReader(io.BytesIO(page.pdf)).pages) == 1
    _look(page.pdf, tmp_path)


def test_no_sheet_is_ever_printed_on_two_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("caseboard.sheets.render.sheet_drafts", lambda sheet: [busy(60)])
    with pytest.raises(PdfFailed, match="more on this sheet than a page holds"):
        sheet_page(plan(0), paper="a4", time_limit_s=120)


def test_drafts_follow_the_stated_order() -> None:
    assert [fit.roomy for fit in FITS[:4]] == [False, False, True, False]
    first = [(fit.large, fit.dense, fit.sides, fit.charts, fit.closed, fit.text) for fit in FITS]
    assert first[:10] == [
        (True, False, True, 2, True, None),
        (False, False, True, 2, True, None),
        (False, True, True, 2, True, None),
        (False, True, True, 2, True, None),
        (False, True, True, 1, True, None),
        (False, True, False, 1, True, None),
        (False, True, True, 0, True, None),
        (False, True, False, 0, True, None),
        (False, True, False, 0, False, None),
        (False, True, False, 0, False, 500),
    ]


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


def test_a_long_name_in_a_mark_keeps_its_last_name() -> None:
    assert short_name("Vera Vet", 13) == "Vera Vet"
    assert short_name("Annabel Longfellow", 13) == "A. Longfellow"
    assert short_name("Bartholomewina", 13) == "Bartholomewi…"


def test_a_value_is_never_parted_from_its_unit() -> None:
    assert (
        unbroken("was 83 mm: 1.5 ° less, 8 intervals") == "was 83\xa0mm: 1.5\xa0° less, 8 intervals"
    )
