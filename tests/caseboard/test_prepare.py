"""What serve needs is made by serve, or refused in one line."""

from pathlib import Path

from tests.caseboard.commands import manage
from tests.caseboard.test_production_settings import WHOLE


def test_prepare_makes_tables_and_static_files(tmp_path: Path) -> None:
    done = manage("prepare", state=tmp_path, **WHOLE)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "static" / "staticfiles.json").is_file()
    again = manage("prepare", state=tmp_path, **WHOLE)
    assert again.stdout.strip() == "Everything is up to date."
    (tmp_path / "static" / "collected-from.txt").write_text("another set of files")
    assert "Collecting" in manage("prepare", state=tmp_path, **WHOLE).stdout


def test_a_database_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    nowhere = "postgres://nobody@127.0.0.1:9/nothing"
    done = manage("serve", "--port", "0", state=tmp_path, DATABASE_URL=nowhere)
    assert done.returncode != 0
    assert done.stderr.startswith("CommandError: The database cannot be used: ")
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


def test_a_folder_that_takes_no_static_files_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "static").mkdir()
    (tmp_path / "static" / "css").write_text("a file where a folder should be")
    done = manage("prepare", state=tmp_path, **WHOLE)
    assert done.returncode != 0
    assert "The static files cannot be collected" in done.stderr
    assert "Traceback" not in done.stderr
