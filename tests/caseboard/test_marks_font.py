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
from caseboard.sheets.plan_value import SIGNS, SheetMark
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


def test_every_mark_is_used_and_shown_in_its_font() -> None:
    shown = re.findall(r'::before \{ content: "(.)"; font-family: "([^"]+)"', CSS)
    assert shown == [("▲", FAMILY)]
    assert sorted(shapes()) == sorted({"▲", *SIGNS.values(), SheetMark("vet", "waiting").sign})
    [marks] = re.findall(r"\.s-marks \{ font-family: ([^;]+);", CSS)
    [words] = re.findall(r"\.sheet \{[^}]*font-family: ([^;]+);", CSS)
    assert marks == words.replace('"Sheet", ', f'"Sheet", "{FAMILY}", ', 1)


def test_the_tick_is_a_hole_in_its_disc() -> None:
    disc, tick = shapes()["✓"]
    assert _turn(disc) * _turn(tick) < 0


def _cells(mark: SheetMark) -> list[str]:
    html = sheet_html(replace(busy(1), items=(replace(busy(1).items[0], marks=(mark,)),)))
    cells = re.findall(r'<td class="s-marks">(.*?)</td>', html, re.DOTALL)
    return [" ".join(cell.split()) for cell in cells]


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ("agreed", "✓ Vera Vet 2 Nov 2026"),
        ("declined", "✗ <b>declined:</b> Vera Vet 2 Nov 2026"),
        ("asked", "○ <b>asks for a change:</b> Vera Vet 2 Nov 2026"),
        ("waiting", "◌ <b>not yet</b> 2 Nov 2026"),
        ("vacant", "◌ <b>not yet</b> 2 Nov 2026"),
    ],
)
def test_every_state_has_its_shape_and_words(state: str, said: str) -> None:
    marks = _cells(SheetMark("vet", state, "Vera Vet", "2 Nov 2026"))
    assert marks == ["not asked", "not asked", said]


@pytest.mark.parametrize("who", ["חיים", "الحصان", "Vera \u202eVet", "Vera ١"])
def test_a_name_that_may_run_from_right_to_left_keeps_to_itself(who: str) -> None:
    assert (
        _cells(SheetMark("vet", "agreed", who, "2 Nov 2026"))[2] == f"✓ <bdi>{who}</bdi> 2 Nov 2026"
    )


@pytest.mark.parametrize("who", ["Đorđe O’Malley-7", "лошадь", "Ἵππος", "Zoe\u0308 <b>"])
def test_a_name_from_left_to_right_needs_no_box_of_its_own(who: str) -> None:
    assert SheetMark("vet", "agreed", who).is_plain


@pytest.mark.parametrize("seed", range(8))
def test_a_printed_sheet_is_well_formed_and_so_is_read_fast(seed: int) -> None:
    assert well_formed(sheet_html(plan(seed))) is not None
