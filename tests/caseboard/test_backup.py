"""Backup and restore: everything comes back equal, and a spoilt backup is found out."""

import shutil
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection

from caseboard.management.safekeeping.check import backup_troubles
from caseboard.management.safekeeping.manifest import BackupWrong, manifest_read, manifest_write
from caseboard.management.safekeeping.restore import backup_restore, restored_troubles
from caseboard.management.safekeeping.write import backup_write
from horses import kept
from horses.models import Flag, FlagPhoto, Person
from horses.verify import broken_lines
from tests import build
from tests.bench.drill_corruptions import CORRUPTIONS, rows_file, truncate
from tests.cast import make_cast
from tests.lift import drop_kept_triggers

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def saved(now: datetime, tmp_path: Path) -> Path:
    """A backup of a horse with a flag, a photo, readings and a plan."""
    cast = make_cast(now)
    owner = cast.standing(cast.owner)
    flag = build.flag(owner, now, words="Grüße, “quoted” and a NUL-free line.")
    name = default_storage.save("flags/one.jpg", ContentFile(b"\xff\xd8 a photo"))
    FlagPhoto.objects.create(
        flag=flag, file=name, width_px=1, height_px=1, sha256="0", added_at=now
    )
    build.series(cast.standing(cast.farrier), now, [52.5, 51.25, 50])
    build.plan_item(owner, now)
    return backup_write(tmp_path / "backups", now=now)


def _empty() -> None:
    drop_kept_triggers()
    call_command("flush", verbosity=0, interactive=False)
    kept.install(connection)
    default_storage.delete("flags/one.jpg")


def test_everything_comes_back_equal(saved: Path) -> None:
    assert backup_troubles(saved) == []
    _empty()
    rows = backup_restore(saved)
    assert rows["measurements.Reading"] == 5
    assert restored_troubles(manifest_read(saved)) == []
    assert Flag.objects.get().words.startswith("Grüße")
    assert default_storage.open(str(FlagPhoto.objects.get().file)).read() == b"\xff\xd8 a photo"
    for case in {flag.case for flag in Flag.objects.all()}:
        assert list(broken_lines(case)) == []
    made = Person.objects.create_user("new@example.test", "New")  # its number is not taken
    assert made.pk


def test_nothing_is_restored_over_people(saved: Path) -> None:
    with pytest.raises(BackupWrong, match="there are people"):
        backup_restore(saved)


def test_a_backup_of_another_version_is_refused(saved: Path) -> None:
    manifest = manifest_read(saved)
    manifest["migrations"].pop()
    manifest_write(saved, manifest)
    with pytest.raises(BackupWrong, match="another version"):
        backup_restore(saved)


def test_ten_corruptions_are_ten_times_found(saved: Path, tmp_path: Path) -> None:
    missed = []
    for name, spoil in CORRUPTIONS.items():
        folder = tmp_path / "spoilt"
        shutil.copytree(saved, folder)
        spoil(folder)
        if not backup_troubles(folder):
            missed.append(name)
        shutil.rmtree(folder)
    assert (len(CORRUPTIONS), missed) == (10, [])


def test_the_commands_say_what_they_found(saved: Path, capsys: Any) -> None:
    call_command("restore", str(saved), verify=True)
    assert "The backup is whole." in capsys.readouterr().out
    truncate(rows_file(saved, "horses.Person"))
    with pytest.raises(CommandError, match="1 found wrong"):
        call_command("restore", str(saved), verify=True)
