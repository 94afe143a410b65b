"""Writes a backup: whole, or not at all. Nobody else of the machine can read it, and it is on the disk
before it has its name."""

import gzip
import hashlib
import os
import shutil
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

from django.core.files.storage import Storage, default_storage
from django.db import connection

from caseboard.backup.manifest import FORMAT, BackupWrong, file_sum, manifest_write, migrations_of
from caseboard.backup.snapshot import snapshot
from caseboard.backup.tables import Model, kept_models, row_lines
from caseboard.lib.durable import sync_folder, sync_tree
from caseboard.lib.private import private_make
from horses.ledger.photo_check import CHANGED, CHUNK_BYTES, MISSING, UNREADABLE, photos_still_named
from horses.models import Picture
from horses.models.base import stored_label

BESIDE = ".restore"  # a restore's own files in the storage: see media_in.py
# A photo that is blanked out between the rows and its copy means the rows once more. House default.
MOST_ROUNDS = 5


def backup_write(into: Path, *, now: datetime) -> Path:
    """Makes a folder named by the moment inside `into` and returns it."""
    target = into / f"backup-{now:%Y%m%dT%H%M%S}"
    half = into / f"{target.name}.part"
    if target.exists():
        raise BackupWrong(f"{target.name} is there already. Try again in a second.")
    if not into.exists():
        private_make(into)
    shutil.rmtree(half, ignore_errors=True)
    private_make(half)
    rows, media, lost = _rows_and_media(half)
    manifest_write(
        half,
        {
            "format": FORMAT,
            "made_at": now.isoformat(),
            "database": connection.vendor,
            **rows,
            "media": media,
            "lost": lost,
        },
    )
    sync_tree(half)
    os.replace(half, target)
    sync_folder(into)
    return target


def _rows_and_media(folder: Path) -> tuple[dict[str, Any], dict[str, str], dict[str, str]]:
    """What the manifest says of the rows and of the files, and which pictures are lost.

    A photo that was blanked out meanwhile is no damage: the rows are taken once more, without it.
    """
    media: dict[str, str] = {}
    unread: set[str] = set()
    for _ in range(MOST_ROUNDS):
        rows, photos = rows_write(folder / "rows")
        # After the rows: a photo that was added meanwhile is one too many, never one too few.
        unread |= media_write(folder / "media", media)
        lost = {
            name: _ails(name, media, unread)
            for name, sha256 in photos.items()
            if media.get(name) != sha256
        }
        if photos_still_named(lost) == set(lost):
            break
    return rows, media, lost


def _ails(name: str, media: dict[str, str], unread: set[str]) -> str:
    if name in media:
        return CHANGED
    return UNREADABLE if name in unread else MISSING


def rows_write(folder: Path) -> tuple[dict[str, Any], dict[str, str]]:
    """The rows of one moment; what the manifest says of them, and the pictures that they name."""
    shutil.rmtree(folder, ignore_errors=True)
    private_make(folder)
    with snapshot() as alias:
        tables = {stored_label(m): table_write(folder.parent, m, alias) for m in kept_models()}
        named = Picture.objects.using(alias).exclude(file="").values_list("file", "sha256")
        return {"tables": tables, "migrations": migrations_of(alias)}, dict(named)


def table_write(folder: Path, model: Model, alias: str) -> dict[str, Any]:
    """One file of rows; what the manifest says of it."""
    name = f"rows/{stored_label(model)}.jsonl.gz"
    digest, count = hashlib.sha256(), 0
    with gzip.open(folder / name, "wt", encoding="utf-8", compresslevel=3, newline="\n") as out:
        for line in row_lines(model, alias):
            out.write(line + "\n")
            digest.update(line.encode() + b"\n")
            count += 1
    return {
        "file": name,
        "rows": count,
        "sha256": digest.hexdigest(),
        "packed_sha256": file_sum(folder / name),
    }


def media_write(folder: Path, sums: dict[str, str]) -> set[str]:
    """Copies every file of the media storage that is not copied yet, wherever that keeps them, and
    writes down its sum. Returns those that cannot be read: they do not stop the others."""
    private_make(folder)
    unread = set()
    for name in stored_names(default_storage):
        if name in sums:
            continue
        path = folder / name
        private_make(path.parent)
        with path.open("wb") as out:
            digest = hashlib.sha256()
            for chunk in _chunks(name):
                if chunk is None:
                    break
                digest.update(chunk)
                out.write(chunk)
            else:
                sums[name] = digest.hexdigest()
                continue
        path.unlink()
        unread.add(name)
    return unread


def _chunks(name: str) -> Iterator[bytes | None]:
    """The bytes of a stored file; at last None when it cannot be read to its end."""
    try:
        with default_storage.open(name) as source:
            while chunk := source.read(CHUNK_BYTES):
                yield chunk
    except OSError:  # one that was blanked out since it was listed too
        yield None


def stored_names(storage: Storage, folder: str = "") -> Iterator[str]:
    try:
        folders, files = storage.listdir(folder)
    except FileNotFoundError:
        return
    for name in sorted(files):
        if not name.startswith(BESIDE):
            yield f"{folder}/{name}" if folder else name
    for name in sorted(folders):
        if not name.startswith(BESIDE):
            yield from stored_names(storage, f"{folder}/{name}" if folder else name)
