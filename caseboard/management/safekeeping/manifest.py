"""What a backup says of itself: how many rows and which bytes, and the schema they fit."""

import hashlib
import json
from pathlib import Path
from typing import Any

from django.db import connections
from django.db.migrations.recorder import MigrationRecorder

NAME, SUM = "manifest.json", "manifest.sha256"
FORMAT = 1


class BackupWrong(Exception):
    """The backup cannot be used; says why."""


def migrations_of(alias: str) -> list[str]:
    applied = MigrationRecorder(connections[alias]).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in applied)


def manifest_write(folder: Path, manifest: dict[str, Any]) -> None:
    text = json.dumps(manifest, indent=1, sort_keys=True)
    (folder / NAME).write_text(text)
    (folder / SUM).write_text(hashlib.sha256(text.encode()).hexdigest())


def manifest_read(folder: Path) -> dict[str, Any]:
    try:
        text, stated = (folder / NAME).read_text(), (folder / SUM).read_text().strip()
        manifest: dict[str, Any] = json.loads(text)
    except (OSError, ValueError) as error:
        raise BackupWrong(f"the manifest cannot be read: {type(error).__name__}") from None
    if hashlib.sha256(text.encode()).hexdigest() != stated:
        raise BackupWrong("the manifest was changed")
    if manifest.get("format") != FORMAT:
        raise BackupWrong(f"this program reads format {FORMAT}, not {manifest.get('format')}")
    return manifest


def file_sum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
