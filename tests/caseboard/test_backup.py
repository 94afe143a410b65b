"""Backup and restore: everything comes back equal, and a spoilt backup is found out."""

import gzip
import hashlib
import json
import shutil
from collections.abc import Callable
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


# -- ten ways to spoil a backup ---------------------------------------------------------------
def _rows(folder: Path, label: str) -> Path:
    return folder / "rows" / f"{label}.jsonl.gz"


def _flip(path: Path, at: float = 0.5) -> None:
    content = bytearray(path.read_bytes())
    content[int(len(content) * at)] ^= 0x10
    path.write_bytes(content)


def _rewrite(folder: Path, label: str, change: Callable[[list[dict[str, Any]]], Any]) -> None:
    """Changes rows and makes every sum anew, as somebody would who wants to hide it."""
    with gzip.open(_rows(folder, label), "rt") as file:
        rows = [json.loads(line) for line in file]
    change(rows)
    text = "".join(json.dumps(r, sort_keys=True, ensure_ascii=False) + "\n" for r in rows)
    with gzip.open(_rows(folder, label), "wt") as out:
        out.write(text)
    manifest = manifest_read(folder)
    manifest["tables"][label] |= {
        "rows": len(rows), "sha256": hashlib.sha256(text.encode()).hexdigest(),
    }  # fmt: skip
    manifest_write(folder, manifest)


def _truncate(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-20])


def _spoil_words(rows: list[dict[str, Any]]) -> None:
    rows[1]["after"] = {"words": "Something else."}


def _spoil_manifest(folder: Path) -> None:
    path = folder / "manifest.json"
    path.write_text(path.read_text().replace('"rows": 5', '"rows": 4'))


CORRUPTIONS: dict[str, Callable[[Path], Any]] = {
    "a bit of a table": lambda f: _flip(_rows(f, "measurements.Reading")),
    "a table cut short": lambda f: _truncate(_rows(f, "horses.Person")),
    "a table gone": lambda f: _rows(f, "horses.Note").unlink(),
    "a bit of a photo": lambda f: _flip(f / "media/flags/one.jpg"),
    "a photo gone": lambda f: (f / "media/flags/one.jpg").unlink(),
    "a file too many": lambda f: (f / "media/flags/two.jpg").write_bytes(b"x"),
    "the manifest edited": _spoil_manifest,
    "the manifest gone": lambda f: (f / "manifest.json").unlink(),
    "a line of history edited and every sum made anew": lambda f: _rewrite(
        f, "horses.HistoryLine", _spoil_words
    ),
    "the last line of history taken out and every sum made anew": lambda f: _rewrite(
        f, "horses.HistoryLine", lambda rows: rows.pop()
    ),
}


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
    _truncate(_rows(saved, "horses.Person"))
    with pytest.raises(CommandError, match="1 found wrong"):
        call_command("restore", str(saved), verify=True)
