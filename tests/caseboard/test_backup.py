"""Backup and restore: everything comes back equal, or nothing does and it is said why."""

import stat
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command

from caseboard.backup.check import backup_look
from caseboard.backup.manifest import BackupWrong, manifest_read, manifest_write
from caseboard.backup.restore import Allowed, backup_restore, restored_troubles
from caseboard.backup.write import backup_write
from horses.ledger.verify import broken_lines
from horses.models import Case, Flag, HistoryLine, Person, Picture
from tests.bench.drill_corruptions import rewrite, rows_file, truncate
from tests.caseboard.saved import PICTURES, horse_saved, installation_emptied
from tests.lift import drop_kept_triggers

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def saved(now: datetime, tmp_path: Path) -> Path:
    return horse_saved(now, tmp_path / "backups")


def test_everything_comes_back_equal_and_once_more_says_so(saved: Path, now: datetime) -> None:
    assert backup_look(saved).troubles() == []
    installation_emptied()
    restored = backup_restore(saved, now=now)
    assert (restored.rows["measurements.Reading"], restored.was_there) == (5, False)
    assert restored_troubles(manifest_read(saved)) == []
    assert Flag.objects.get().words.startswith("Grüße")
    kept = [default_storage.open(str(p.file)).read() for p in Picture.objects.order_by("pk")]
    assert kept == list(PICTURES)
    assert [fault for case in Case.objects.all() for fault in broken_lines(case)] == []
    default_storage.delete(str(Picture.objects.latest("pk").file))
    assert backup_restore(saved, now=now).was_there
    assert restored_troubles(manifest_read(saved)) == []
    made = Person.objects.create_user("new@example.test", "New")  # its number is not taken
    assert made.pk
    with pytest.raises(BackupWrong, match="there are people"):
        backup_restore(saved, now=now)


def test_a_backup_of_another_version_is_refused(saved: Path, now: datetime) -> None:
    manifest = manifest_read(saved)
    manifest["migrations"].pop()
    manifest_write(saved, manifest)
    with pytest.raises(BackupWrong, match="another version"):
        backup_restore(saved, now=now)


def test_another_key_is_said_plainly_and_can_be_passed_by(
    saved: Path, now: datetime, settings: Any, capsys: Any
) -> None:
    installation_emptied()
    settings.SECRET_KEY = "of another installation, and long enough to be one of its own"
    with pytest.raises(BackupWrong, match="sealed with another SECRET_KEY"):
        backup_restore(saved, now=now)
    assert Person.objects.count() == 0
    call_command("restore", str(saved), unsigned=True)
    said = capsys.readouterr()
    assert "is not known" in said.err
    assert "are back, and compared" in said.out
    assert restored_troubles(manifest_read(saved, unsigned=True)) == []


def test_unsigned_still_finds_what_the_histories_speak_of(saved: Path, settings: Any) -> None:
    rewrite(saved, "horses.Note", lambda rows: rows[0].update(body="All is well."))
    settings.SECRET_KEY = "of another installation, and long enough to be one of its own"
    (found,) = backup_look(saved, unsigned=True).troubles()
    assert found.startswith("horses.note ")
    assert found.endswith("the row was changed")


def test_an_installation_whose_history_was_tampered_with_can_still_be_saved_and_brought_back(
    now: datetime, tmp_path: Path
) -> None:
    horse_saved(now, tmp_path)
    drop_kept_triggers()
    HistoryLine.objects.filter(verb="note.written").update(verb="note.read")
    backup = backup_write(tmp_path / "later", now=now)
    found = backup_look(backup)
    assert (found.faults, found.lost, found.whole) == ([], {}, False)
    assert "was changed" in found.history[0]
    installation_emptied()
    with pytest.raises(BackupWrong, match="--despite-history"):
        backup_restore(backup, now=now)
    backup_restore(backup, now=now, allowed=Allowed(despite_history=True))
    assert any(list(broken_lines(case)) for case in Case.objects.all())


def test_an_error_on_the_way_leaves_it_empty(
    saved: Path, now: datetime, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    installation_emptied()
    calls: list[Any] = []

    def full(path: Path, upto: Path) -> None:
        calls.append(path)
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("caseboard.backup.media_in.sync_folders", full)
    with pytest.raises(BackupWrong, match="No space left"):
        backup_restore(saved, now=now)
    assert calls
    assert Person.objects.count() == 0
    assert [p for p in Path(settings.MEDIA_ROOT).rglob("*") if p.is_file()] == []


def test_nobody_else_of_the_machine_reads_a_backup(saved: Path) -> None:
    modes = {
        (path.is_dir(), stat.S_IMODE(path.stat().st_mode)) for path in [saved, *saved.rglob("*")]
    }
    assert modes == {(True, 0o700), (False, 0o600)}


def test_the_commands_say_what_they_found(saved: Path, capsys: Any) -> None:
    call_command("restore", str(saved), verify=True)
    assert "The backup is whole." in capsys.readouterr().out
    truncate(rows_file(saved, "horses.Person"))
    with pytest.raises(CommandError, match="1 found wrong"):
        call_command("restore", str(saved), verify=True)
    assert "horses.Person: its file was changed" in capsys.readouterr().err
