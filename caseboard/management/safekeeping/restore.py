"""Puts a backup into an empty installation, and proves that what is there is what was saved."""

import hashlib
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, connection, transaction

from caseboard.management.safekeeping.check import backup_troubles, table_lines
from caseboard.management.safekeeping.manifest import BackupWrong, manifest_read, migrations_of
from caseboard.management.safekeeping.tables import (
    Model,
    fields_of,
    kept_models,
    row_lines,
    rows_read,
)
from horses.models import Person

A_BATCH = 2000


def backup_restore(folder: Path) -> dict[str, int]:
    """Restores everything in one transaction; the rows a table that are there now."""
    if troubles := backup_troubles(folder):
        raise BackupWrong(f"{len(troubles)} found wrong, nothing was restored: {troubles[0]}")
    manifest = manifest_read(folder)
    if manifest["migrations"] != migrations_of(DEFAULT_DB_ALIAS):
        raise BackupWrong(
            "the backup was made by another version. Restore it with that version, then upgrade."
        )
    if Person.objects.exists():
        raise BackupWrong("there are people in this installation. Restore into an empty one.")
    with transaction.atomic():
        for model in kept_models():
            _fill(folder, model, manifest["tables"][model._meta.label])
        connection.check_constraints()
    _sequences()
    media_restore(folder, manifest["media"])
    if different := restored_troubles(manifest):
        raise BackupWrong(f"what is there differs from the backup: {', '.join(different)}")
    return {label: table["rows"] for label, table in manifest["tables"].items()}


def _fill(folder: Path, model: Model, said: dict[str, Any]) -> None:
    fields = fields_of(model)
    quote = connection.ops.quote_name
    names = ", ".join(quote(str(field.column)) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    insert = f"INSERT INTO {quote(model._meta.db_table)} ({names}) VALUES ({places})"
    with connection.cursor() as cursor:
        # What `migrate` itself wrote into a table that is kept.
        cursor.execute(f"SELECT COUNT(*) FROM {quote(model._meta.db_table)}")
        if cursor.fetchone()[0]:
            cursor.execute(f"DELETE FROM {quote(model._meta.db_table)}")
        rows = rows_read(model, table_lines(folder, said))
        while batch := list(islice(rows, A_BATCH)):
            values = [
                [f.get_db_prep_save(row[f.attname], connection=connection) for f in fields]
                for row in batch
            ]
            cursor.executemany(insert, values)


def _sequences() -> None:
    """Rows came with their numbers: the next ones start after them."""
    statements = connection.ops.sequence_reset_sql(no_style(), kept_models())
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def media_restore(folder: Path, sums: dict[str, str]) -> None:
    for name in sums:
        with (folder / "media" / name).open("rb") as source:
            if default_storage.exists(name):
                default_storage.delete(name)
            stored = default_storage.save(name, File(source))
        if stored != name:
            raise BackupWrong(f"media/{name}: the storage keeps it under another name")


def restored_troubles(manifest: dict[str, Any]) -> list[str]:
    """The tables and files that are not, byte for byte, what the manifest says."""
    wrong = [
        model._meta.label
        for model in kept_models()
        if _rows_sum(model) != manifest["tables"][model._meta.label]["sha256"]
    ]
    wrong += [name for name, stated in manifest["media"].items() if _media_sum(name) != stated]
    return wrong


def _rows_sum(model: Model) -> str:
    digest = hashlib.sha256()
    for line in row_lines(model, DEFAULT_DB_ALIAS):
        digest.update(line.encode() + b"\n")
    return digest.hexdigest()


def _media_sum(name: str) -> str:
    digest = hashlib.sha256()
    with default_storage.open(name) as file:
        for chunk in _chunks(file):
            digest.update(chunk)
    return digest.hexdigest()


def _chunks(file: Any) -> Iterator[bytes]:
    while chunk := file.read(1024 * 1024):
        yield chunk
