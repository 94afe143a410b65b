"""The printed papers in grey: every text dark enough on every ground behind it, and large enough."""

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import tinycss2  # type: ignore[import-untyped]
from django.conf import settings
from django.template.loader import render_to_string

from caseboard.lib.pdf.parent import Paper, html_to_pdf, pango_missing
from caseboard.sheets.plan_fit import fitted
from caseboard.sheets.plan_steps import FITS
from caseboard.sheets.plan_value import Sheet
from caseboard.sheets.render import sheet_html
from tests.caseboard.printed_ink import Rgb, grey_contrast, text_of
from tests.caseboard.sheet_plans import plan

CSS = Path(settings.BASE_DIR) / "caseboard/static/css"
TEMPLATES = Path(settings.BASE_DIR) / "templates"
TEXT, DRAWN = 4.5, 3.0  # WCAG 2.2, 1.4.3 and 1.4.11
LEAST_PT = 9.0
WHITE: Rgb = (1, 1, 1)
# Behind the words and hidden from readers: the warning above them says the same.
BEHIND = (".s-draft", ".s-ribbon")
# What a reader must tell apart in a chart; grid, hatching and shading are not among them.
MARKS = (
    "c-open",
    "c-full",
    "c-last",
    "c-level",
    "c-edge",
    "c-frame",
    "c-doubt",
    "c-gone",
    "c-ahead",
)


def _rgb(words: str) -> Rgb:
    digits = words.removeprefix("#")
    full = digits if len(digits) == 6 else "".join(digit * 2 for digit in digits)
    return (int(full[:2], 16) / 255, int(full[2:4], 16) / 255, int(full[4:], 16) / 255)


def _declared(file: str, wanted: str) -> dict[str, Rgb]:
    """The colours that a style sheet declares for `color` or `background`, by selector."""
    found = {}
    rules = tinycss2.parse_stylesheet((CSS / file).read_text(), True, True)
    for rule in rules:
        if rule.type != "qualified-rule":
            continue
        selector = tinycss2.serialize(rule.prelude).strip()
        for part in tinycss2.parse_blocks_contents(rule.content):
            if part.type == "declaration" and part.lower_name.startswith(wanted):
                for colour in re.findall(r"#[0-9a-fA-F]{3,6}", tinycss2.serialize(part.value)):
                    found[selector] = _rgb(colour)
    return found


def _grounds() -> list[Rgb]:
    """Everything that may lie behind a word of the sheet."""
    grounds = [WHITE, *_declared("sheet.css", "background").values()]
    behind = _declared("sheet.css", "color")
    grounds += [rgb for name, rgb in behind.items() if name.endswith(BEHIND)]
    [horse] = re.findall(r'<g transform="[^"]+" fill="(#\w+)"', _template("caseboard/sheet_body"))
    return [*grounds, _rgb(horse)]


def _template(name: str) -> str:
    return (TEMPLATES / f"{name}.html").read_text()


def test_every_ink_of_the_style_sheets_stands_out_in_grey() -> None:
    inks = _declared("sheet.css", "color") | _declared("barn.css", "color")
    texts = {name: rgb for name, rgb in inks.items() if not name.endswith(BEHIND)}
    assert len(texts) >= 5
    faint = {
        name: round(least, 1)
        for name, rgb in texts.items()
        if (least := min(grey_contrast(rgb, ground) for ground in _grounds())) < TEXT
    }
    assert faint == {}


def test_the_marks_and_lines_of_a_chart_stand_out_in_grey() -> None:
    drawn = re.findall(
        r'class="([\w-]+)" d="[^"]+" fill="([^"]+)"(?: stroke="(#\w+)")?',
        _template("parts/chart"),
    )
    inks = {name: line or inside for name, inside, line in drawn if name in MARKS}
    assert set(inks) == set(MARKS)
    faint = [name for name, ink in inks.items() if grey_contrast(_rgb(ink), WHITE) < DRAWN]
    assert faint == []
    [letters] = re.findall(r'class="c-text" fill="(#\w+)"', _template("parts/chart"))
    assert min(grey_contrast(_rgb(letters), ground) for ground in _grounds()) >= TEXT


def _drawn(sheet: Sheet, paper: Paper) -> bytes:
    return html_to_pdf(sheet_html(sheet), paper=paper, time_limit_s=120)


@pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")
@pytest.mark.parametrize(("fit", "paper"), [(0, "a4"), (2, "letter"), (len(FITS) - 1, "a4")])
def test_every_piece_of_a_drawn_sheet_is_dark_and_large_enough(paper: Paper, fit: int) -> None:
    """The comfortable draft, the close one, and the shortest there is."""
    whole = replace(
        plan(3), number=0, code="", items=tuple(replace(i, essential=True) for i in plan(3).items)
    )
    pieces = text_of(_drawn(fitted(whole, FITS[fit]), paper))
    assert len(pieces) > 60
    behind = {rgb for name, rgb in _declared("sheet.css", "color").items() if name.endswith(BEHIND)}
    words = [p for p in pieces if not any(_same(p.rgb, rgb) for rgb in behind)]
    assert 1 <= len(pieces) - len(words) <= 2
    assert sorted({round(p.size_pt, 2) for p in words if p.size_pt < LEAST_PT - 0.05}) == []
    assert {p.alpha for p in words} == {1.0}
    on_black = [p for p in words if _same(p.rgb, WHITE)]
    assert len(on_black) == len("LF") * sum(foot.marked for foot in whole.feet)  # one by one
    dark = [p.rgb for p in words if not _same(p.rgb, WHITE)]
    assert min(grey_contrast(rgb, ground) for rgb in dark for ground in _grounds()) >= TEXT


@pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")
def test_every_piece_of_an_empty_round_is_dark_and_large_enough() -> None:
    day = date(2026, 11, 2)
    shown = {"pages": [[]], "on": day, "person": "Finn Farrier", "count": 0, "today": day}
    pieces = text_of(html_to_pdf(render_to_string("caseboard/round_print.html", shown), paper="a4"))
    assert min(p.size_pt for p in pieces) >= LEAST_PT - 0.05
    assert min(grey_contrast(p.rgb, WHITE) for p in pieces) >= TEXT


def _same(one: Rgb, other: Rgb) -> bool:
    return all(abs(a - b) < 0.002 for a, b in zip(one, other, strict=True))


def test_contrast_in_grey_is_reckoned_as_published() -> None:
    assert grey_contrast((0, 0, 0), WHITE) == pytest.approx(21)
    # #767676 on white is 4.54, the usual example of the least that passes (WCAG 2.2, 1.4.3).
    assert grey_contrast(_rgb("#767676"), WHITE) == pytest.approx(4.54, abs=0.01)
    assert grey_contrast(_rgb("#777"), WHITE) < TEXT
