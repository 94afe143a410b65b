"""Writes a backup: whole, or not at all."""

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

from caseboard.management.safekeeping.manifest import (
    FORMAT,
    file_sum,
    manifest_write,
    migrations_of,
)
from caseboard.management.safekeeping.snapshot import snapshot
from caseboard.management.safekeeping.tables import Model, kept_models, row_lines


def backup_write(into: Path, *, now: datetime) -> Path:
    """Makes a folder named by the moment inside `into` and returns it."""
    target = into / f"backup-{now:%Y%m%dT%H%M%S}"
    half = into / f"{target.name}.part"
    shutil.rmtree(half, ignore_errors=True)
    (half / "rows").mkdir(parents=True)
    with snapshot() as alias:
        tables = {m._meta.label: table_write(half, m, alias) for m in kept_models()}
        migrations = migrations_of(alias)
    # After the rows: a photo that was added meanwhile is one too many, never one too few.
    media = media_write(half / "media")
    manifest_write(
        half,
        {
            "format": FORMAT, "made_at": now.isoformat(), "database": connection.vendor,
            "migrations": migrations, "tables": tables, "media": media,
        },
    )  # fmt: skip
    os.replace(half, target)
    return target


def table_write(folder: Path, model: Model, alias: str) -> dict[str, Any]:
    """One file of rows; what the manifest says of it."""
    name = f"rows/{model._meta.label}.jsonl.gz"
    digest, count = hashlib.sha256(), 0
    with gzip.open(folder / name, "wt", encoding="utf-8", compresslevel=3) as out:
        for line in row_lines(model, alias):
            out.write(line + "\n")
            digest.update(line.encode() + b"\n")
            count += 1
    return {"file": name, "rows": count, "sha256": digest.hexdigest()}


def media_write(folder: Path) -> dict[str, str]:
    """Copies every file of the media storage, wherever that keeps them."""
    folder.mkdir(parents=True, exist_ok=True)
    sums = {}
    for name in stored_names(default_storage):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with default_storage.open(name) as source, path.open("wb") as out:
                shutil.copyfileobj(source, out)
        except FileNotFoundError:  # blanked out since it was listed
            continue
        sums[name] = file_sum(path)
    return sums


def stored_names(storage: Storage, folder: str = "") -> Iterator[str]:
    try:
        folders, files = storage.listdir(folder)
    except FileNotFoundError:
        return
    for name in sorted(files):
        yield f"{folder}/{name}" if folder else name
    for name in sorted(folders):
        yield from stored_names(storage, f"{folder}/{name}" if folder else name)
