"""`backup --keep N` leaves the newest N whole ones, and touches nothing that is not one of them."""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from tests.bench.drill_corruptions import flip, rows_file
from tests.caseboard.saved import horse_made

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def made(clock_stands: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Makes the backup of a day, and returns the names that are there then."""
    horse_made(clock_stands)

    def make(day: int, **more: Any) -> list[str]:
        at = clock_stands + timedelta(days=day)
        monkeypatch.setattr("caseboard.lib.clock.now", lambda: at)
        call_command("backup", str(tmp_path), **more)
        return sorted(path.name for path in tmp_path.iterdir())

    return make


def _name(day: int) -> str:
    return f"backup-202611{2 + day:02}T090000"


def test_the_newest_whole_ones_stay_and_so_does_what_is_not_ours(
    made: Any, tmp_path: Path, settings: Any
) -> None:
    for day in range(4):
        made(day)
    foreign = ("notes", "backup-old", "backup-20200101T000000")
    for name in foreign:
        (tmp_path / name).mkdir()
        (tmp_path / name / "manifest.json").write_text("{}")
    (tmp_path / "backup-20200102T000000").symlink_to(tmp_path / _name(0))
    rows_file(tmp_path / _name(2), "horses.Note").unlink()
    left = {*foreign, "backup-20200102T000000", _name(2)}  # not whole: it stays, and does not count
    assert set(made(4, keep=2)) == {*left, _name(3), _name(4)}
    assert set(made(5, keep=1)) == {*left, _name(5)}
    settings.SECRET_KEY = "of another installation, and long enough to be one of its own"
    assert set(made(6, keep=1)) == {*left, _name(5), _name(6)}


def test_one_that_is_not_whole_prunes_nothing_and_is_said(
    made: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(0)
    from caseboard.backup import make, write

    def on_a_bad_disk(into: Path, *, now: datetime) -> Path:
        folder = write.backup_write(into, now=now)
        flip(rows_file(folder, "horses.Note"))
        return folder

    monkeypatch.setattr(make, "backup_write", on_a_bad_disk)
    with pytest.raises(CommandError, match="1 found wrong"):
        made(1, keep=1)
    assert sorted(path.name for path in tmp_path.iterdir()) == [_name(0), _name(1)]
    assert "is not whole" in Client().get("/readyz").json()["backup"]


def test_one_that_was_not_looked_at_prunes_nothing(made: Any, capsys: Any) -> None:
    made(0)
    assert made(1, keep=1, no_verify=True) == [_name(0), _name(1)]
    assert "no older one was pruned" in capsys.readouterr().err


def test_a_full_disk_is_said_in_one_line_and_to_the_watchers(
    made: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("caseboard.backup.write.sync_tree", full)
    with pytest.raises(CommandError, match="no backup was made: .*No space left"):
        made(0)
    assert "could not be made" in Client().get("/readyz").json()["backup"]


def test_the_watchers_hear_how_old_the_last_whole_one_is(made: Any, settings: Any) -> None:
    assert Client().get("/readyz").json()["backup"] == "ok"  # nobody makes any here
    settings.BACKUP_EXPECTED = True
    assert Client().get("/readyz").json()["backup"] == "none was ever made"
    made(0)
    assert Client().get("/readyz").json()["backup"] == "ok: the last whole one is 0 h old"


def test_more_than_two_days_without_a_whole_one_is_a_fault(
    made: Any, clock_stands: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(0)
    for hours, begins in ((48, "ok: "), (49, "the last whole one is 49 h old")):
        at = clock_stands + timedelta(hours=hours)
        monkeypatch.setattr("caseboard.lib.clock.now", lambda at=at: at)
        assert Client().get("/readyz").json()["backup"].startswith(begins)
