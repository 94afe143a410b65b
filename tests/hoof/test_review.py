"""Old records replayed: reading rows, numbering trims, and the verdict row of each foot."""

from datetime import date, timedelta

import numpy as np
import pytest

from measurements.hoof.review import (
    OUTPUT_COLUMNS,
    readings_of,
    records_of,
    review_record,
    trim_days_of,
)
from measurements.hoof.review_rows import ReviewRow, missing_columns, read_rows

START = date(2021, 3, 1)
A_ROW = {
    "horse": "Bramble",
    "date": "2021-03-01",
    "foot": "LF",
    "quantity": "toe_angle",
    "value": "52.5",
    "unit": "deg",
    "method": "gauge",
    "trim": "after",
}


def rows_of(*rows: dict[str, str]) -> list[ReviewRow]:
    good, bad = read_rows(enumerate(rows, start=2))
    assert bad == []
    return good


def reason(**changes: str) -> str:
    good, bad = read_rows([(7, {**A_ROW, **changes})])
    assert good == []
    assert bad[0].line == 7
    return bad[0].reason


def a_sheet(
    visits: int, rate: float = 0.0, *, noise: float = 0.6, days_given: bool = False, **changes: str
) -> list[dict[str, str]]:
    rng = np.random.default_rng(3)
    sheet = []
    for visit in range(visits):
        for trim, since, word in ((visit - 1, 49, "before"), (visit, 0, "after")):
            value = 52.0 + rate * max(0, trim - 5) - 3.0 * since / 56 + rng.normal(0, noise)
            row = {
                **A_ROW,
                "date": (START + timedelta(days=49 * visit)).isoformat(),
                "value": f"{value:.4f}",
                "trim": word,
                **changes,
            }
            if days_given:
                row["days_since_trim"] = str(since)
            sheet.append(row)
    return sheet


def verdict(sheet: list[dict[str, str]]) -> dict[str, str]:
    (record,) = records_of(rows_of(*sheet))
    return review_record(record, 100.0)


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({"foot": "XX"}, "foot"),
        ({"date": "2021-13-01"}, "date"),
        ({"quantity": "ear_length"}, "quantity"),
        ({"value": "NaN"}, "number"),
        ({"value": "1e308"}, "number"),
        ({"value": ""}, "number"),
        ({"value": "521"}, "not possible"),
        ({"unit": "cm"}, "degrees"),
        ({"unit": ""}, "unit"),
        ({"method": "thumb"}, "method"),
        ({"method": "tape"}, "cannot be measured"),
        ({"trim": "later"}, "trim"),
        ({"horse": "  "}, "horse"),
        ({"days_since_trim": "many", "trim": "before"}, "days_since_trim"),
        ({"days_since_trim": "-1", "trim": "before"}, "days_since_trim"),
        ({"days_since_trim": "inf", "trim": "before"}, "days_since_trim"),
        ({"days_since_trim": "9"}, "after the trim"),
        ({"shoeing": "slippers"}, "shoeing"),
    ],
)
def test_a_bad_row_is_named_with_its_reason(changes: dict[str, str], word: str) -> None:
    assert word in reason(**changes)


@pytest.mark.parametrize("text", ["52.5", "52,5", "52 1/2", "52.50000000"])
def test_a_value_may_be_written_in_several_ways(text: str) -> None:
    assert rows_of({**A_ROW, "value": text})[0].value == pytest.approx(52.5)


def test_lengths_are_read_in_any_length_unit() -> None:
    lengths = {"quantity": "toe_length", "method": "tape"}
    texts = [("82.55", "mm"), ("8.255", "cm"), ("3 1/4", "in")]
    rows = [{**A_ROW, **lengths, "value": value, "unit": unit} for value, unit in texts]
    assert [row.value for row in rows_of(*rows)] == pytest.approx([82.55] * 3)


def test_missing_columns_are_named() -> None:
    assert missing_columns(["horse", "date", "foot", "value", "unit", "trim"]) == [
        "quantity",
        "method",
    ]


def test_each_foot_of_each_horse_is_a_series_of_its_own() -> None:
    rows = rows_of(A_ROW, {**A_ROW, "foot": "rf"}, {**A_ROW, "horse": "Clover"}, A_ROW)
    assert [(r.horse, r.foot.value, len(r.rows)) for r in records_of(rows)] == [
        ("Bramble", "LF", 2),
        ("Bramble", "RF", 1),
        ("Clover", "LF", 1),
    ]


def test_days_since_trim_bring_back_a_visit_the_sheet_lacks() -> None:
    late = {**A_ROW, "date": "2021-06-07", "trim": "before", "days_since_trim": "49"}
    assert trim_days_of(rows_of(A_ROW, late), START) == [0.0, 49.0, 98.0]


def test_days_since_trim_that_fit_a_known_visit_add_none() -> None:
    fitting = {**A_ROW, "date": "2021-04-19", "trim": "before", "days_since_trim": "48"}
    assert trim_days_of(rows_of(A_ROW, fitting), START) == [0.0, 49.0]


def test_a_falling_foot_is_found_with_its_date_and_rate() -> None:
    found = verdict(a_sheet(16, -0.8))
    first_changed = START + timedelta(days=49 * 6)
    assert set(found) == set(OUTPUT_COLUMNS)
    assert found["kind"] == "drift"
    assert first_changed < date.fromisoformat(found["first_alert_on"])
    assert date.fromisoformat(found["since"]) < date.fromisoformat(found["first_alert_on"])
    assert float(found["rate_low"]) < -0.8 < float(found["rate_high"])


def test_a_stable_foot_has_no_alert_and_a_rate_about_nothing() -> None:
    found = verdict(a_sheet(14))
    assert (found["first_alert_on"], found["kind"], found["since"]) == ("", "", "")
    assert float(found["rate_low"]) < 0 < float(found["rate_high"])


def test_telling_the_days_since_trim_changes_nothing_when_they_are_known() -> None:
    # The first reading's days are unknown without the column, so it is left out of both.
    assert verdict(a_sheet(14, -0.8)[1:]) == verdict(a_sheet(14, -0.8, days_given=True)[1:])


def test_the_order_of_the_rows_does_not_matter() -> None:
    sheet = a_sheet(14, -0.8)
    assert verdict(sheet[::-1]) == verdict(sheet)


def test_doubtful_rows_are_named_by_their_line() -> None:
    sheet = a_sheet(10)
    sheet[9]["value"] = "62.0"
    assert verdict(sheet)["doubtful_rows"] == "11"


def test_one_single_reading_has_a_row() -> None:
    assert verdict([A_ROW])["first_alert_on"] == ""


def test_a_length_alone_raises_no_alert_but_has_a_rate() -> None:
    sheet = a_sheet(14, 4.0, quantity="toe_length", method="tape", unit="mm")
    for row in sheet:
        row["value"] = f"{float(row['value']) + 30.0:.3f}"
    found = verdict(sheet)
    assert found["first_alert_on"] == ""
    assert float(found["rate_low"]) > 0


def test_lengths_in_cm_and_in_mm_have_the_same_verdict() -> None:
    sheet = a_sheet(8, quantity="toe_length", method="tape", unit="mm")
    in_cm = [{**row, "unit": "cm", "value": f"{float(row['value']) / 10:.6f}"} for row in sheet]
    assert verdict(in_cm) == verdict(sheet)


def test_the_rate_told_is_the_one_known_at_the_alert() -> None:
    longer, shorter = a_sheet(22, -0.8), a_sheet(16, -0.8)
    assert verdict(longer) == verdict(shorter)


def test_a_reading_after_the_trim_stands_on_the_trim_of_its_day_and_one_before_on_the_last() -> (
    None
):
    (record,) = records_of(rows_of(*a_sheet(3)))
    readings = readings_of(record)[0]["toe_angle"]
    assert [reading.trim_index for reading in readings] == [-1, 0, 0, 1, 1, 2]
    assert [reading.days_since_trim for reading in readings] == [49, 0, 49, 0, 49, 0]


def test_a_cycle_that_began_before_the_record_is_known_less_surely() -> None:
    """Three degrees of growth in 56 days, give or take 14 days: 0.75 beside the gauge's 1."""
    (record,) = records_of(rows_of(*a_sheet(2)))
    first, *others = readings_of(record)[0]["toe_angle"]
    assert first.sd == pytest.approx(1.25)
    assert {reading.sd for reading in others} == {1.0}
