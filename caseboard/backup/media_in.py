"""Brings a backup's photos into the storage: beside it first, then all in, with a journal of which.

On a disk they wait in a folder beside the others, so that moving them in is renaming. Killed at any
moment, the journal says what a restore put there; the next one takes that away, or goes on with it.
In a bucket there is nothing to rename: they are put there once more.
"""

import json
import os
import shutil
from pathlib import Path
from typing import Any

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage, default_storage

from caseboard.backup.manifest import BackupWrong, file_sum
from caseboard.backup.write import BESIDE
from caseboard.lib.durable import sync_file, sync_folders, write_durably
from caseboard.lib.private import private_make
from horses.ledger.photo_check import CHUNK_BYTES, file_ails

WAITING = f"{BESIDE}-waiting"
JOURNAL = f"{BESIDE}-journal.json"


def on_disk() -> Path | None:
    """The folder of the storage; None for one that is no folder."""
    storage: Any = default_storage
    return Path(storage.location) if isinstance(storage, FileSystemStorage) else None


def leftovers_away(sums: dict[str, str]) -> None:
    """Removes what an interrupted restore left, except the files that this one puts there anyway."""
    top = on_disk()
    if top is None:
        return
    for name, sha256 in _journal(top).items():
        if name not in sums and not file_ails(name, sha256):
            default_storage.delete(name)
    done(top)


def media_stage(folder: Path, sums: dict[str, str]) -> None:
    """Copies the pictures beside the storage, durably, and reads them again to compare."""
    top = on_disk()
    if top is None:
        return
    private_make(top)
    shutil.rmtree(top / WAITING, ignore_errors=True)
    private_make(top / WAITING)
    for name, sha256 in sums.items():
        path = top / WAITING / name
        private_make(path.parent)
        with (folder / "media" / name).open("rb") as source, path.open("wb") as out:
            shutil.copyfileobj(source, out, CHUNK_BYTES)
        sync_file(path)
        if file_sum(path) != sha256:
            raise BackupWrong(f"media/{name}: cannot be copied as it is")


def media_move_in(folder: Path, sums: dict[str, str], new: set[str]) -> None:
    """Renames all of them in, durably. `new` first records which were not there before."""
    top = on_disk()
    new |= {name for name in sums if not default_storage.exists(name)}
    if top is None:
        _upload(folder, sums)
        return
    write_durably(top / JOURNAL, json.dumps({name: sums[name] for name in sorted(new)}))
    folders = set()
    for name in sums:
        path = top / name
        private_make(path.parent)
        os.replace(top / WAITING / name, path)
        folders.add(path.parent)
    for parent in folders:
        sync_folders(parent, top)


def media_undo(new: set[str]) -> None:
    """After an error: takes away what was moved in, and what still waits."""
    for name in new:
        default_storage.delete(name)
    if (top := on_disk()) is not None:
        done(top)


def done(top: Path) -> None:
    shutil.rmtree(top / WAITING, ignore_errors=True)
    (top / JOURNAL).unlink(missing_ok=True)


def _journal(top: Path) -> dict[str, str]:
    try:
        said = json.loads((top / JOURNAL).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return said if isinstance(said, dict) else {}


def _upload(folder: Path, sums: dict[str, str]) -> None:
    for name, sha256 in sums.items():
        if not file_ails(name, sha256):
            continue
        if default_storage.exists(name):
            default_storage.delete(name)
        with (folder / "media" / name).open("rb") as source:
            stored = default_storage.save(name, File(source))
        if stored != name or file_ails(name, sha256):
            raise BackupWrong(f"media/{name}: the storage does not keep it as it is")
