"""The geometry of a chart, and the SVG that one template makes of it."""

import gzip
import re
import time
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from caseboard.sheets.plan_gather import PAPER_CHART
from measurements.charts.axes import date_ticks, value_range, value_ticks
from measurements.charts.draw import LARGE, PHONE, Chart, Dot, Size, Span, TargetBand, draw

DAY = date(2026, 1, 5)
SVG = "{http://www.w3.org/2000/svg}"

# A canvas with next to no room: the last value and two dates.
SMALL = Size("small", 160, 68, (5, 25, 13, 3), 11, 2.2, 0, 2)


def chart(*dots: Dot, **more: object) -> Chart:
    fields: dict[str, object] = {
        "key": "lf-toe",
        "title": "Left fore toe angle",
        "desc": "Two readings.",
        "unit": "°",
        "least_span": 6.0,
        "dots": dots or (Dot(DAY, 52.0, "after", 1),),
        **more,
    }
    return Chart(**fields)  # type: ignore[arg-type]


def long_chart() -> Chart:
    """Sixty readings of two and a half years, with everything a chart can show."""
    dots, trims, level = [], [], []
    for n in range(30):
        on = DAY - timedelta(days=45 * (30 - n))
        trims.append(on)
        dots += [Dot(on, 50 - n / 20, "before", n - 1), Dot(on, 52.6 - n / 20, "after", n)]
        level.append(Span(on, 52 - n / 20, 51 - n / 20, 53 - n / 20))
    ahead = tuple(Span(DAY + timedelta(days=45 * n), 50 - n, 49 - 2 * n, 51.0) for n in range(4))
    return chart(
        *dots,
        trims=tuple(trims),
        level=tuple(level),
        forecast=ahead,
        bands=(TargetBand(50, 54, DAY - timedelta(days=300), "after", "the vet's band"),),
    )


def numbers(path: str) -> list[float]:
    return [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path)]


def rendered(made: Chart, size: Size = LARGE) -> str:
    return render_to_string("parts/chart.html", {"chart": draw(made, size)})


def test_before_and_after_readings_have_different_marks() -> None:
    drawn = draw(chart(Dot(DAY, 49, "before"), Dot(DAY, 52, "after", 1)), LARGE)
    assert drawn.before
    assert drawn.after
    assert drawn.before != drawn.after


def test_all_readings_of_one_kind_are_one_path() -> None:
    root = ET.fromstring(rendered(long_chart()))
    assert not root.findall(f".//{SVG}circle") + root.findall(".//circle")
    assert rendered(long_chart()).count('class="c-full"') == 1


def test_a_higher_value_stands_higher() -> None:
    low, high = draw(
        chart(Dot(DAY, 49, "after"), Dot(DAY + timedelta(days=9), 53, "after")), LARGE
    ).after.split("M")[1:]
    assert numbers(high)[1] < numbers(low)[1]


def test_a_later_day_stands_further_right() -> None:
    first, later = draw(
        chart(Dot(DAY, 50, "after"), Dot(DAY + timedelta(days=9), 50, "after")), LARGE
    ).after.split("M")[1:]
    assert numbers(later)[0] > numbers(first)[0]


def test_the_order_of_entry_changes_nothing() -> None:
    made = long_chart()
    assert draw(replace(made, dots=made.dots[::-1]), LARGE) == draw(made, LARGE)


def test_one_reading_alone_can_be_drawn() -> None:
    drawn = draw(chart(), LARGE)
    left, right = LARGE.margins[3], LARGE.width - LARGE.margins[1]
    assert numbers(drawn.after)[0] == pytest.approx((left + right) / 2, abs=6)


def test_a_series_without_change_keeps_the_least_range() -> None:
    dots = [Dot(DAY + timedelta(days=n), 50.0, "after") for n in range(5)]
    assert value_range([d.value for d in dots], 6.0)[1] - value_range([50.0], 6.0)[0] >= 6


def test_a_corrected_reading_is_only_a_cross_and_does_not_stretch_the_scale() -> None:
    access = (Dot(DAY, 50, "after"), Dot(DAY + timedelta(days=50), 51, "after"))
    wild = Dot(DAY + timedelta(days=20), 830, "after", note="corrected")
    drawn = draw(chart(*access, wild), LARGE)
    assert drawn.after == draw(chart(*access), LARGE).after
    assert numbers(drawn.corrected)[1] >= 0


def test_a_doubtful_reading_keeps_its_mark_and_gets_a_cross() -> None:
    drawn = draw(chart(Dot(DAY, 50, "after", 1, "doubt")), LARGE)
    assert drawn.after
    assert drawn.doubt


def test_readings_between_two_trims_are_joined_and_others_are_not() -> None:
    one = draw(
        chart(Dot(DAY, 52, "after", 1), Dot(DAY + timedelta(days=40), 49, "before", 1)), LARGE
    )
    two = draw(
        chart(Dot(DAY, 52, "after", 1), Dot(DAY + timedelta(days=40), 49, "before", 2)), LARGE
    )
    assert one.cycles
    assert not two.cycles


def test_each_trim_is_one_upright_line() -> None:
    drawn = draw(long_chart(), LARGE)
    assert drawn.trims.count("V") == 30


def test_a_trim_before_the_first_reading_is_left_out() -> None:
    dots = (Dot(DAY, 50, "after"), Dot(DAY + timedelta(days=50), 50, "before"))
    assert draw(chart(*dots, trims=(DAY - timedelta(days=900),)), LARGE).trims == ""


def test_a_band_has_its_edges_labelled() -> None:
    labels = [text.text for text in draw(long_chart(), LARGE).edge_labels]
    assert labels == ["50", "54"]


def test_edge_labels_that_would_lie_on_each_other_are_moved_apart() -> None:
    bands = (TargetBand(7.5, 8.25, DAY, "after"), TargetBand(8.2, 8.9, DAY, "before"))
    drawn = draw(chart(Dot(DAY, 8, "after"), bands=bands, least_span=1.2), LARGE)
    heights = sorted(float(text.y) for text in drawn.edge_labels)
    assert all(b - a >= LARGE.text - 0.2 for a, b in zip(heights, heights[1:], strict=False))


def test_the_two_moments_are_hatched_in_different_directions() -> None:
    bands = tuple(TargetBand(48, 54, DAY, moment) for moment in ("after", "before"))
    after, before = draw(chart(bands=bands), LARGE).bands
    assert after.hatch != before.hatch


def test_hatching_stays_inside_its_band() -> None:
    band = draw(chart(bands=(TargetBand(49, 54, DAY, "after"),)), LARGE).bands[0]
    xs, ys = numbers(band.hatch)[::2], numbers(band.hatch)[1::2]
    left, top, right, bottom = (numbers(band.area) + [0])[:4]
    assert min(xs) >= left - 0.1
    assert max(xs) <= right + 0.1
    assert min(ys) >= top - 0.1
    assert max(ys) <= bottom + 0.1


def test_a_forecast_that_runs_off_the_scale_stays_in_the_frame() -> None:
    far = (Span(DAY, 50, 49, 51), Span(DAY + timedelta(days=90), 48, -500, 600))
    drawn = draw(chart(Dot(DAY, 50, "after"), forecast=far), LARGE)
    assert all(0 <= n <= LARGE.width for n in numbers(drawn.forecast_range))


def test_the_small_chart_has_few_labels() -> None:
    drawn = draw(long_chart(), SMALL)
    assert not drawn.value_labels
    assert len(drawn.date_labels) == 2


@pytest.mark.parametrize(
    "size", [SMALL, PAPER_CHART, PAPER_CHART.for_bands], ids=["screen", "paper", "paper, band"]
)
def test_the_two_months_of_a_small_chart_do_not_lie_on_each_other(size: Size) -> None:
    first, last = draw(long_chart(), size).date_labels
    letters = len(first.text) + len(last.text)
    assert float(last.x) - float(first.x) > letters * size.text * 0.55
    assert float(last.x) <= size.width


def test_a_chart_on_paper_has_the_two_ends_of_a_scale_or_the_edges_of_a_band() -> None:
    low, high = draw(long_chart(), PAPER_CHART).value_labels
    assert float(high.text) > float(low.text)
    assert draw(long_chart(), PAPER_CHART.for_bands).value_labels == ()


def test_where_there_is_no_room_for_two_months_the_last_is_named() -> None:
    narrow = replace(SMALL, width=90)
    assert [t.text for t in draw(long_chart(), narrow).date_labels] == ["May 2026"]


def test_a_small_chart_of_one_month_names_it_once() -> None:
    assert [t.text for t in draw(chart(), SMALL).date_labels] == ["Jan 2026"]


@pytest.mark.parametrize("size", [SMALL, PHONE, LARGE])
def test_the_picture_says_what_it_is_to_those_who_cannot_see_it(size: Size) -> None:
    root = ET.fromstring(rendered(long_chart(), size))
    title, desc = root.find("title"), root.find("desc")
    assert title is not None
    assert desc is not None
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert title.text == "Left fore toe angle"


def test_sizes_of_one_chart_on_one_page_have_different_ids() -> None:
    ids = {draw(long_chart(), size).id for size in (SMALL, PHONE, LARGE)}
    assert len(ids) == 3


def test_words_in_a_chart_are_escaped() -> None:
    html = rendered(chart(title="<script>alert(1)</script>", desc="a & b"))
    assert "<script" not in html
    ET.fromstring(html)


def test_nothing_in_the_picture_needs_a_style_sheet() -> None:
    html = rendered(long_chart())
    assert "var(" not in html
    assert "currentColor" not in html
    assert "style=" not in html


def test_a_chart_of_sixty_readings_is_small_and_quick() -> None:
    html = rendered(long_chart())
    assert len(gzip.compress(html.encode())) < 2600
    fastest = min(_seconds(long_chart()) for _ in range(10))
    assert fastest < 0.010


def _seconds(made: Chart) -> float:
    start = time.perf_counter()
    rendered(made)
    return time.perf_counter() - start


@given(low=st.floats(-1e4, 1e4), span=st.floats(0.01, 1e4), most=st.integers(2, 9))
def test_value_ticks_are_inside_and_few(low: float, span: float, most: int) -> None:
    ticks = value_ticks(low, low + span, most)
    assert len(ticks) <= most + 1
    assert all(low - span * 1e-6 <= t.at <= low + span * (1 + 1e-6) for t in ticks)
    assert len({t.text for t in ticks}) == len(ticks)


@given(first=st.dates(date(1990, 1, 1), date(2060, 1, 1)), days=st.integers(0, 12_000))
def test_date_ticks_are_inside_and_never_crowd(first: date, days: int) -> None:
    last = first + timedelta(days=days)
    ticks = date_ticks(first, last, 9)
    assert len(ticks) <= 10
    assert all(first.toordinal() <= t.at <= last.toordinal() for t in ticks)


@given(
    days=st.lists(st.integers(0, 4000), min_size=1, max_size=30),
    value=st.floats(-30, 300, allow_nan=False),
)
def test_any_series_is_drawn_inside_its_canvas(days: list[int], value: float) -> None:
    dots = [Dot(DAY + timedelta(days=d), value + d % 7, "after", d % 3) for d in days]
    drawn = draw(chart(*dots), PHONE)
    assert all(-9 <= n <= PHONE.width for n in numbers(drawn.after))
