"""A farrier's old record is read in: row by row what is wrong, all or nothing, and never twice."""

from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given, settings
from hypothesis import strategies as st

from horses.models import HistoryLine, Trim
from measurements.importing.table import EARLIEST, TableUnreadable, table_read, table_text
from measurements.models import Reading
from measurements.services.readings import reading_correct
from tests import build
from tests.cast import Cast
from tests.horses.doors import shut, verbs

TODAY = date(2026, 11, 2)
HEAD = "date,foot,quantity,value,unit,method,trim\n"
GOOD = "2026-09-14,LF,toe_angle,49.5,deg,gauge,before\n"


def one(line: str, **more: bool) -> str:
    """The problems of one row, as they are printed; "" for a good row."""
    table = table_read(HEAD + line + "\n", today=TODAY, **more)
    return "; ".join(str(problem) for problem in table.problems)


def test_a_good_row_is_read_exactly() -> None:
    row = table_read(HEAD + "2026-09-14,RH,toe length,3 1/4,in,tape,after\n", today=TODAY).rows[0]
    assert (row.on, row.foot, row.quantity) == (date(2026, 9, 14), "RH", "toe_length")
    assert (row.entered.value, row.entered.unit) == (Decimal("3.25"), "in")
    assert (row.method, row.trim_state) == ("tape", "after")


@pytest.mark.parametrize(
    "foot", ["LF", "lf", "left fore", "Near Fore", "left-fore", "left front", "near front"]
)
def test_a_foot_may_be_written_as_people_do(foot: str) -> None:
    row = table_read(HEAD + GOOD.replace("LF", foot), today=TODAY).rows[0]
    assert row.foot == "LF"
    assert table_read(HEAD + GOOD.replace("LF", "off back"), today=TODAY).rows[0].foot == "RH"


@pytest.mark.parametrize("name", ["toe_angle", "Toe angle", "TOE ANGLE", " toe  angle "])
def test_a_quantity_may_be_written_by_its_key_or_its_name(name: str) -> None:
    row = table_read(HEAD + GOOD.replace("toe_angle", name), today=TODAY).rows[0]
    assert row.quantity == "toe_angle"


@pytest.mark.parametrize("method", ["gauge", "Hoof gauge"])
@pytest.mark.parametrize("trim", ["before", "Before the trim"])
def test_method_and_trim_may_be_written_by_key_or_in_words(method: str, trim: str) -> None:
    line = GOOD.replace("gauge", method).replace("before", trim)
    assert table_read(HEAD + line, today=TODAY).rows[0].trim_state == "before"


def test_the_heading_may_be_in_any_case_and_order() -> None:
    text = " Trim ,METHOD,unit,Value,quantity,Foot, DATE ,remark\nafter,gauge,°,52,toe angle,RF,2026-09-14,fine\n"
    assert table_read(text, today=TODAY).rows[0].foot == "RF"


def test_semicolons_and_decimal_commas_are_read() -> None:
    text = (HEAD + GOOD).replace(",", ";").replace("49.5", "49,5")
    assert table_read(text, today=TODAY).rows[0].entered.value == Decimal("49.5")


def test_columns_apart_by_tabs_are_read() -> None:
    text = (HEAD + GOOD).replace(",", "\t").replace("49.5", "49,5")
    assert table_read(text, today=TODAY).rows[0].entered.value == Decimal("49.5")


@pytest.mark.parametrize("day", [TODAY, EARLIEST])
def test_the_first_day_that_counts_and_today_are_read(day: date) -> None:
    row = table_read(HEAD + GOOD.replace("2026-09-14", f"{day}"), today=TODAY).rows[0]
    assert row.on == day


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_files_of_common_spreadsheets_are_read(encoding: str) -> None:
    content = (HEAD + GOOD.replace("deg", "°")).encode(encoding)
    assert table_read(table_text(content), today=TODAY).rows


def test_empty_lines_are_passed_over_and_lines_are_counted_as_in_the_file() -> None:
    table = table_read(HEAD + "\n,,,,,,\n" + GOOD + "x" + GOOD, today=TODAY)
    assert table.rows[0].line == 4
    assert table.problems[0].line == 5


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("14/09/2026,LF,toe_angle,49,deg,gauge,before", "line 2, date: “14/09/2026” can be read"),
        ("2026-02-30,LF,toe_angle,49,deg,gauge,before", "There is no such day"),
        ("2027-01-01,LF,toe_angle,49,deg,gauge,before", "still to come"),
        ("1066-10-14,LF,toe_angle,49,deg,gauge,before", "Look at the year"),
        (",LF,toe_angle,49,deg,gauge,before", "The day is missing"),
        ("2026-09-14,left,toe_angle,49,deg,gauge,before", "line 2, foot: “left” is no foot"),
        ("2026-09-14,LF,mood,49,deg,gauge,before", "“mood” is not measured here"),
        ("2026-09-14,LF,toe_angle,,deg,gauge,before", "The value is missing"),
        ("2026-09-14,LF,toe_angle,fifty,deg,gauge,before", "line 2, value: Could not read"),
        ("2026-09-14,LF,toe_angle,NaN,deg,gauge,before", "Could not read"),
        ("2026-09-14,LF,toe_angle,49,cm,gauge,before", "line 2, unit: “cm” is no unit of a toe"),
        ("2026-09-14,LF,toe_length,8.3,,tape,before", "Which unit is “8.3” in?"),
        ("2026-09-14,LF,toe_length,8.3 cm,in,tape,before", "The value is in cm"),
        ("2026-09-14,LF,toe_angle,495,deg,gauge,before", "cannot be the toe angle of a horse"),
        ("2026-09-14,LF,toe_angle,75,deg,gauge,before", "is unusual for the toe angle"),
        ("2026-09-14,LF,toe_angle,49,deg,tape,before", "not measured by tape or caliper"),
        ("2026-09-14,LF,toe_angle,49,deg,eye,before", "line 2, method: “eye” is none of"),
        ("2026-09-14,LF,toe_angle,49,deg,gauge,later", "line 2, trim: “later” is none of before"),
        ("2026-09-14,LF,toe_angle,49,deg,gauge", "Missing: before, after or between"),
    ],
)
def test_each_mistake_is_named_with_its_line_and_column(line: str, words: str) -> None:
    assert words in one(line)


def test_all_mistakes_of_a_row_are_named_at_once() -> None:
    table = table_read(HEAD + "soon,paw,toe_angle,x,deg,eye,later\n", today=TODAY)
    assert [p.column for p in table.problems] == ["date", "foot", "trim", "method", "value"]
    assert table.bad_rows == 1


def test_a_unit_in_the_value_is_enough() -> None:
    assert one("2026-09-14,LF,toe_length,8.3 cm,,tape,before") == ""


def test_unusual_values_are_taken_when_they_were_checked() -> None:
    assert one("2026-09-14,LF,toe_angle,75,deg,gauge,before", take_unusual=True) == ""
    assert one("2026-09-14,LF,toe_angle,495,deg,gauge,before", take_unusual=True) != ""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "The file is empty"),
        ("\n\n", "The file is empty"),
        ("date,foot\n", "Columns missing in the first line: quantity"),
        ("a;b;c\n1;2;3\n", "Columns missing"),
        (HEAD.replace("unit", "foot"), "Columns missing in the first line: unit"),
        (HEAD.replace("\n", ",Foot\n"), "Columns named twice in the first line: foot"),
    ],
)
def test_a_file_that_is_no_such_table_is_refused_with_what_is_missing(
    text: str, words: str
) -> None:
    with pytest.raises(TableUnreadable, match=words):
        table_read(text, today=TODAY)


def test_a_table_without_end_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("measurements.importing.table.MOST_ROWS", 3)
    assert len(table_read(HEAD + 2 * GOOD, today=TODAY).rows) == 2
    with pytest.raises(TableUnreadable, match="more than 3 lines"):
        table_read(HEAD + 3 * GOOD, today=TODAY)


def read_or_refused(content: bytes) -> object:
    try:
        return table_read(table_text(HEAD.encode() + content), today=TODAY)
    except TableUnreadable as refused:
        return str(refused)


@given(content=st.binary(max_size=300))
@settings(max_examples=60)
def test_any_file_is_read_or_refused_in_words(content: bytes) -> None:
    assert read_or_refused(content)


# -- the command


@pytest.fixture
def record(tmp_path: Path) -> Callable[[str], Path]:
    def write(rows: str) -> Path:
        path = tmp_path / "record.csv"
        path.write_text(HEAD + rows)
        return path

    return write


def run(cast: Cast, path: Path, **options: object) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command(
        "import_readings", str(path), case=cast.case.public_id, stdout=out, stderr=err, **options
    )
    return out.getvalue(), err.getvalue()


pytestmark = pytest.mark.usefixtures("clock_stands")
TWO = GOOD + "2026-09-14,LF,toe_angle,52,deg,gauge,after\n"


def test_a_record_is_read_in(cast: Cast, record: Callable[[str], Path]) -> None:
    out, _ = run(cast, record(TWO))
    assert "2 read in, 0 there already, 0 left out" in out
    rows = list(Reading.objects.order_by("pk"))
    assert [r.value for r in rows] == [Decimal("49.5"), Decimal(52)]
    assert {r.source for r in rows} == {"import"}
    assert {r.recorded_by for r in rows} == {cast.farrier}
    assert Trim.objects.get().trimmed_on == date(2026, 9, 14)
    assert verbs(cast.case).count("readings.recorded") == 1


def test_each_reading_is_of_its_own_day(cast: Cast, record: Callable[[str], Path]) -> None:
    later = GOOD.replace("09-14", "10-05").replace("before", "after")
    run(cast, record(later + GOOD))
    assert list(Reading.objects.order_by("pk").values_list("taken_on", "trim_state")) == [
        (date(2026, 9, 14), "before"),
        (date(2026, 10, 5), "after"),
    ]
    assert {trim.trimmed_on for trim in Trim.objects.all()} == {
        date(2026, 9, 14),
        date(2026, 10, 5),
    }
    assert verbs(cast.case).count("readings.recorded") == 2


def test_the_second_run_adds_nothing(cast: Cast, record: Callable[[str], Path]) -> None:
    path = record(TWO)
    run(cast, path)
    lines = HistoryLine.objects.count()
    out, _ = run(cast, path)
    assert "0 read in, 2 there already" in out
    assert Reading.objects.count() == 2
    assert HistoryLine.objects.count() == lines


def test_a_row_that_stands_twice_in_the_file_is_read_once(
    cast: Cast, record: Callable[[str], Path]
) -> None:
    out, _ = run(cast, record(GOOD + GOOD))
    assert "line 3: same as line 2" in out
    assert Reading.objects.count() == 1


def test_a_reading_corrected_since_does_not_come_back(
    cast: Cast, record: Callable[[str], Path], now: datetime
) -> None:
    path = record(GOOD)
    run(cast, path)
    reading_correct(
        access=cast.access(cast.farrier),
        reading_id=Reading.objects.get().public_id,
        taken=build.taken("LF", "toe_angle", "50.5"),
        reason="Misread.",
        now=now,
    )
    out, _ = run(cast, path)
    assert "0 read in, 1 there already" in out


def test_one_bad_row_keeps_all_out(cast: Cast, record: Callable[[str], Path]) -> None:
    err = StringIO()
    path = record(GOOD + GOOD.replace("49.5", "495"))
    with pytest.raises(CommandError, match="One row cannot be read, so nothing was written"):
        call_command("import_readings", str(path), case=cast.case.public_id, stderr=err)
    assert "line 3, value" in err.getvalue()
    assert not Reading.objects.exists()


def test_the_good_rows_are_read_when_asked_to(cast: Cast, record: Callable[[str], Path]) -> None:
    out, err = run(cast, record(GOOD + GOOD.replace("49.5", "495")), skip_bad=True)
    assert "1 read in, 0 there already, 1 left out" in out
    assert "line 3, value" in err


def test_who_measured_and_how_the_feet_were_shod_can_be_said(
    cast: Cast, record: Callable[[str], Path]
) -> None:
    run(cast, record(GOOD), by="Old Farrier", shoeing="barefoot")
    reading = Reading.objects.get()
    assert (reading.taken_by, reading.taken_by_name) == (None, "Old Farrier")
    assert reading.shoeing == "barefoot"


def test_a_member_may_be_named_as_the_one_who_reads_it_in(
    cast: Cast, record: Callable[[str], Path]
) -> None:
    run(cast, record(GOOD), email=cast.vet.email.upper())
    assert Reading.objects.get().recorded_by == cast.vet


@pytest.mark.parametrize("who", ["carer", "stranger", "removed"])
def test_others_read_nothing_in(cast: Cast, record: Callable[[str], Path], who: str) -> None:
    with pytest.raises(CommandError):
        run(cast, record(GOOD), email=getattr(cast, who).email)
    assert not Reading.objects.exists()


def test_a_closed_case_takes_no_record(
    cast: Cast, record: Callable[[str], Path], now: datetime
) -> None:
    shut(cast.case, now)
    with pytest.raises(CommandError, match="closed"):
        run(cast, record(GOOD))


def test_a_case_that_is_not_there_is_said(cast: Cast, record: Callable[[str], Path]) -> None:
    with pytest.raises(CommandError, match="There is no case nowhere"):
        call_command("import_readings", str(record(GOOD)), case="nowhere")


def test_a_file_that_is_not_there_is_said(cast: Cast, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        run(cast, tmp_path / "none.csv")


def test_another_horse_may_have_the_same_row(
    cast: Cast, record: Callable[[str], Path], now: datetime
) -> None:
    other = cast.access(cast.other_farrier, cast.other_case)
    build.reading(other, now, "LF", "toe_angle", "49.5", date(2026, 9, 14), trim_state="before")
    out, _ = run(cast, record(GOOD))
    assert "1 read in" in out
