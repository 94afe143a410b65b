"""`manage.py review_series`: no database, nothing written on bad rows, one row per series."""

import csv
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from measurements.hoof.review import OUTPUT_COLUMNS
from measurements.management.commands import review_series
from tests.hoof.test_review import A_ROW, a_sheet


def write(path: Path, rows: list[dict[str, str]]) -> Path:
    with path.open("w", newline="", encoding="utf-8-sig") as file:
        writer = csv.DictWriter(file, A_ROW)
        writer.writeheader()
        writer.writerows(rows)
    return path


def read(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def run(source: Path, out: Path, **options: object) -> str:
    said = StringIO()
    call_command("review_series", str(source), out=out, stdout=said, stderr=said, **options)
    return said.getvalue()


def test_one_row_is_written_per_series_in_the_order_of_the_file(tmp_path: Path) -> None:
    source = write(tmp_path / "old.csv", [*a_sheet(12, -1.0), *a_sheet(5, foot="RH")])
    run(source, tmp_path / "verdicts.csv")
    rows = read(tmp_path / "verdicts.csv")
    assert tuple(rows[0]) == OUTPUT_COLUMNS
    assert [(row["foot"], row["kind"]) for row in rows] == [("LF", "drift"), ("RH", "")]


def test_bad_rows_are_named_and_nothing_is_written(tmp_path: Path) -> None:
    source = write(tmp_path / "old.csv", [A_ROW, {**A_ROW, "foot": "XX"}])
    said = StringIO()
    with pytest.raises(CommandError) as refused:
        call_command("review_series", str(source), out=tmp_path / "v.csv", stderr=said)
    assert refused.value.returncode == 2
    assert "line 3: foot is 'XX'" in said.getvalue()
    assert not (tmp_path / "v.csv").exists()


@pytest.mark.parametrize("content", [b"", b"horse,date\nA,2021-01-01\n", b"\xff\xfe\x00", b"\x00"])
def test_a_file_that_is_no_such_table_is_refused(tmp_path: Path, content: bytes) -> None:
    source = tmp_path / "old.csv"
    source.write_bytes(content)
    with pytest.raises(CommandError) as refused:
        run(source, tmp_path / "v.csv")
    assert refused.value.returncode == 2


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError):
        run(tmp_path / "none.csv", tmp_path / "v.csv")


@pytest.mark.parametrize("rate", ["1", "nan", "often"])
def test_an_impossible_rate_is_refused(tmp_path: Path, rate: str) -> None:
    source = write(tmp_path / "old.csv", [A_ROW])
    with pytest.raises(CommandError):
        call_command("review_series", str(source), "--out", "v.csv", "--rate", rate)


def test_many_series_on_all_cores_give_what_one_after_another_gives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = [row for name in "ABC" for row in a_sheet(7, -1.0, horse=name)]
    source = write(tmp_path / "old.csv", rows)
    run(source, tmp_path / "one.csv")
    monkeypatch.setattr(review_series, "_WORTH_A_POOL", 2)
    run(source, tmp_path / "all.csv")
    assert read(tmp_path / "all.csv") == read(tmp_path / "one.csv")


def test_the_progress_reaches_the_end(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    run(write(tmp_path / "old.csv", [A_ROW]), tmp_path / "v.csv")
    assert "1/1" in capsys.readouterr().err
