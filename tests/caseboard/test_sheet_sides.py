"""The feet from the side on the plan sheet, and a page that is used."""

import io
import re
import subprocess
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from caseboard.case_reading import CaseReading
from caseboard.lib.pdf.parent import Paper, pango_missing
from caseboard.sheets.plan_fit import fitted, sheet_drafts
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.plan_sides import LARGE_MM, PX_A_MM, SMALL_MM
from caseboard.sheets.plan_steps import FITS
from caseboard.sheets.plan_value import Sheet, SheetFoot
from caseboard.sheets.render import sheet_context, sheet_html, sheet_page
from measurements.charts.side_view import SideDrawn
from tests import build
from tests.caseboard.printed_ink import grey_contrast
from tests.caseboard.sheet_plans import busy, plan
from tests.cast import Cast

# House default: what the closest steps of the fitting leave of a page with enough to say.
MOST_BLANK = 0.15


def _height_of(pdf: bytes, folder: Path) -> float:
    """How far down the paper the ink reaches, 0 to 1."""
    file = folder / "page.pdf"
    file.write_bytes(pdf)
    made = subprocess.run(
        ["pdftoppm", "-r", "50", "-gray", "-singlefile", "-png", file],
        check=True,
        timeout=60,
        capture_output=True,
    ).stdout
    picture = Image.open(io.BytesIO(made)).convert("L")
    _, _, _, bottom = picture.point(lambda grey: 255 if grey < 120 else 0).getbbox() or (0,) * 4
    return bottom / picture.height


@pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")
@pytest.mark.parametrize(("items", "paper"), [(0, "a4"), (1, "a4"), (1, "letter"), (12, "a4")])
def test_no_large_part_of_the_page_stays_blank(items: int, paper: Paper, tmp_path: Path) -> None:
    page = sheet_page(busy(items), paper=paper, time_limit_s=120)
    assert 1 - _height_of(page.pdf, tmp_path) < MOST_BLANK


def _mm(side: SideDrawn | None) -> tuple[float, float]:
    assert side is not None
    return side.width / PX_A_MM, side.height / PX_A_MM


def test_the_feet_are_large_where_there_is_room_and_fit_their_place() -> None:
    for fit, (width_mm, height_mm) in ((FITS[0], LARGE_MM), (FITS[1], SMALL_MM)):
        for foot in fitted(busy(1), fit).feet:
            width, height = _mm(foot.side)
            assert width <= width_mm + 0.3
            assert height <= height_mm + 0.3
            assert width > width_mm * 0.8 or height > height_mm * 0.8


def test_all_four_feet_have_one_scale_and_it_is_said() -> None:
    one = busy(1)
    first, *rest = one.feet
    assert first.side is not None
    left_mm, top_mm, width_mm, height_mm = (float(part) for part in first.side.view_box.split())
    half = f"{left_mm / 2} {top_mm / 2} {width_mm / 2} {height_mm / 2}"
    small = replace(first.side, view_box=half)
    draft = fitted(replace(one, feet=(replace(first, side=small), *rest)), FITS[1])
    left, right = draft.feet[0].side, draft.feet[1].side
    assert left is not None
    assert right is not None
    assert left.width == pytest.approx(right.width / 2, abs=1)
    scale = width_mm / (right.width / PX_A_MM)
    assert scale == pytest.approx(float(draft.side_scale), rel=0.01)
    assert f"1 to {draft.side_scale}," in sheet_html(draft)


def test_a_sheet_without_them_says_where_they_are() -> None:
    left = [draft for draft in sheet_drafts(busy(40)) if not draft.has_sides]
    assert left
    assert all("The feet from the side are on the board." in draft.left_off for draft in left)
    html = sheet_html(left[0])
    assert "From the side" not in html
    assert 'class="side-view"' not in html


def test_what_was_not_fitted_is_drawn_small_and_to_scale_on_the_screen() -> None:
    shown = sheet_context(busy(1))["sheet"]
    assert isinstance(shown, Sheet)
    assert shown == sheet_context(shown)["sheet"]
    assert float(shown.side_scale) > 1
    assert all(_mm(foot.side)[0] <= SMALL_MM[0] + 0.3 for foot in shown.feet)


def test_a_foot_that_nobody_measured_has_no_drawing_and_no_legend() -> None:
    assert "From the side" not in sheet_html(fitted(plan(0), FITS[0]))
    assert not fitted(plan(0), FITS[0]).large


def test_every_line_of_a_foot_from_the_side_stands_out_in_grey() -> None:
    drawing = Path("templates/parts/side_view.html").read_text()
    lines = re.findall(r'stroke="#(\w+)"', drawing)
    assert len(lines) >= 7
    for line in lines:
        full = line if len(line) == 6 else "".join(digit * 2 for digit in line)
        red, green, blue = (int(full[at : at + 2], 16) / 255 for at in (0, 2, 4))
        assert grey_contrast((red, green, blue), (1, 1, 1)) >= 3.0  # WCAG 2.2, 1.4.11


def test_every_chart_of_a_sheet_has_a_scale() -> None:
    charts = [chart for foot in plan(3).feet for chart in foot.charts]
    assert charts
    for chart in charts:
        assert len(chart.value_labels) == 2 or chart.edge_labels
        assert len(chart.date_labels) == 2


@pytest.fixture
def measured(cast: Cast, now: datetime) -> Sheet:
    access = cast.access(cast.farrier)

    def take(on: date, **values: float) -> None:
        for quantity, value in values.items():
            build.reading(access, now, "LF", quantity, value, on, trim_state="after")

    take(now.date() - timedelta(days=365), toe_angle=53, toe_length=80, heel_angle=46)
    take(now.date(), toe_angle=48.5, toe_length=92, heel_angle=43, pastern_angle=49)
    build.reading(access, now, "RF", "toe_angle", 50, now.date(), trim_state="after")
    build.reading(access, now, "RF", "toe_length", 82, now.date(), trim_state="after")
    return sheet_for(CaseReading(cast.access(cast.owner), now))


def _foot(sheet: Sheet, code: str) -> SheetFoot:
    return next(foot for foot in sheet.feet if foot.foot == code)


@pytest.mark.django_db
def test_a_measured_foot_is_drawn_now_over_then_and_the_days_are_said(
    measured: Sheet, now: datetime
) -> None:
    foot = _foot(measured, "LF")
    assert foot.side is not None
    assert foot.side.then
    assert foot.side.labels == ()  # its numbers stand beside it
    then = now.date() - timedelta(days=365)
    assert f"dashed: {then:%-d %b %Y}" in foot.side_words
    assert "further out" in foot.side_words
    assert "thick" not in foot.side_words  # the day of all its numbers stands at its name


@pytest.mark.django_db
def test_a_toe_line_alone_is_not_drawn(measured: Sheet) -> None:
    assert _foot(measured, "RF").side is None
    assert _foot(measured, "RF").side_words == ""


@pytest.mark.django_db
def test_a_newer_number_beside_an_older_drawing_is_told_apart(cast: Cast, now: datetime) -> None:
    access, before = cast.access(cast.farrier), now.date() - timedelta(days=40)
    for quantity, value in {"toe_angle": 50, "toe_length": 84, "heel_angle": 45}.items():
        build.reading(access, now, "LF", quantity, value, before, trim_state="after")
    build.reading(access, now, "LF", "toe_angle", 41, now.date(), trim_state="before")
    foot = _foot(sheet_for(CaseReading(cast.access(cast.owner), now)), "LF")
    assert f"thick: after trim, {before:%-d %b %Y}" in foot.side_words
    assert foot.days == (
        f"toe angle before trim, {now:%-d %b %Y}; "
        f"heel angle and toe length after trim, {before:%-d %b %Y}"
    )
