"""The font of the sheet's marks: the file is what the drawing says, and every mark of it is used."""

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from caseboard.lib.pdf.child import well_formed
from caseboard.sheets.marks_font import FAMILY, FILE, Outline, marks_font, shapes
from caseboard.sheets.plan_value import SheetMark
from caseboard.sheets.render import sheet_html
from tests.caseboard.sheet_plans import busy, plan

CSS = (Path(settings.BASE_DIR) / "caseboard/static/css/sheet.css").read_text()


def _outlines(font: TTFont) -> dict[str, list[Any]]:
    glyphs = font["glyf"]
    return {
        sign: [list(part) for part in glyphs[name].getCoordinates(glyphs)[:2]]
        for sign, name in font.getBestCmap().items()
    }


def _turn(outline: Outline) -> float:
    """Twice the area inside, negative where the outline runs the other way round."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*outline, outline[0]]))


def test_the_file_is_what_the_drawing_says() -> None:
    assert _outlines(TTFont(FILE)) == _outlines(marks_font().font)


def test_the_style_sheet_shows_every_mark_in_its_font_and_no_other() -> None:
    shown = re.findall(r'::before \{ content: "(.)"; font-family: "([^"]+)"', CSS)
    assert sorted(sign for sign, _ in shown) == sorted(shapes())
    assert {family for _, family in shown} == {FAMILY}


def test_the_tick_is_a_hole_in_its_disc() -> None:
    disc, tick = shapes()["✓"]
    assert _turn(disc) * _turn(tick) < 0


@pytest.mark.parametrize(
    ("state", "shape"),
    [
        ("agreed", "s-agreed"),
        ("declined", "s-declined"),
        ("asked", "s-asked"),
        ("waiting", "s-waiting"),
        ("vacant", "s-waiting"),
    ],
)
def test_every_state_has_its_shape(state: str, shape: str) -> None:
    mark = SheetMark("vet", state, "Vera Vet", "2 Nov 2026")
    html = sheet_html(replace(busy(1), items=(replace(busy(1).items[0], marks=(mark,)),)))
    cells = re.findall(r'<td class="s-marks([^"]*)"', html)
    assert [cell.split() for cell in cells] == [[], [], [shape]]


@pytest.mark.parametrize("seed", range(8))
def test_a_printed_sheet_is_well_formed_and_so_is_read_fast(seed: int) -> None:
    assert well_formed(sheet_html(plan(seed))) is not None
