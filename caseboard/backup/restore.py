"""Puts a backup into an empty installation in one step that can be repeated, and proves that what is
there is what was saved.

The photos wait beside the storage; all rows go in within one transaction; before it is committed, rows
are compared and the photos moved in. Killed before the commit, the database is empty as it was, and a
second restore begins anew over what waits; killed after it, all is there, and a second one says so.

Decided 2026-11: photos are renamed in before the one commit. The road not taken: photos after the
commit; a kill between them left half.
"""

import hashlib
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Any

from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connection, transaction

from caseboard.backup import media_in
from caseboard.backup.check import Found, backup_look
from caseboard.backup.manifest import BackupWrong, manifest_read, migrations_of
from caseboard.backup.rows_read import rows_of_table
from caseboard.backup.tables import Model, fields_of, kept_models, row_lines
from horses.ledger.photo_check import file_ails
from horses.models import Person, Picture
from horses.models.base import stored_label

A_BATCH = 2000
NOT_EMPTY = "there are people in this installation. Restore into an empty one."


@dataclass(frozen=True)
class Allowed:
    """What the person who restores has allowed by options."""

    unsigned: bool = False
    without_lost_photos: bool = False
    despite_history: bool = False


@dataclass(frozen=True)
class Restored:
    rows: dict[str, int]  # a table that are there now
    lost: dict[str, str]  # pictures that did not come back, and why
    was_there: bool  # by a restore before this one


def backup_restore(folder: Path, *, now: datetime, allowed: Allowed | None = None) -> Restored:
    """All of it, or an installation as empty as before. Raises BackupWrong."""
    allowed = allowed or Allowed()
    found = backup_look(folder, unsigned=allowed.unsigned)
    _refuse(found, allowed)
    manifest = manifest_read(folder, unsigned=allowed.unsigned)
    if manifest["migrations"] != migrations_of(DEFAULT_DB_ALIAS):
        raise BackupWrong(
            "the backup was made by another version. Restore it with that version, then upgrade."
        )
    media = {n: sha256 for n, sha256 in manifest["media"].items() if n not in found.lost}
    was_there = Person.objects.exists()
    if was_there:
        _rest_in(folder, manifest, media, found)
    else:
        media_in.leftovers_away(media)
        _all_in(folder, manifest, media, found, now)
    if (top := media_in.on_disk()) is not None:
        media_in.done(top)
    rows = {label: table["rows"] for label, table in manifest["tables"].items()}
    return Restored(rows, found.lost, was_there)


def _rest_in(folder: Path, manifest: dict[str, Any], media: dict[str, str], found: Found) -> None:
    """Over the very rows of this backup: brings the photos that are not there (the answer to a commit
    may have been lost on the way)."""
    wrong = set(restored_rows_troubles(manifest))
    if found.lost:  # the rows of lost pictures were told of it
        wrong.discard(stored_label(Picture))
    if wrong:
        raise BackupWrong(NOT_EMPTY)
    gone = {name: sha256 for name, sha256 in media.items() if file_ails(name, sha256)}
    media_in.media_stage(folder, gone)
    media_in.media_move_in(folder, gone, set())


def _refuse(found: Found, allowed: Allowed) -> None:
    """Names the first of a kind; `restore --verify` names all."""
    wrong, advice = found.faults, ""
    if not wrong and found.history and not allowed.despite_history:
        wrong = found.history
        advice = (
            ". The rest of the backup is a true copy: --despite-history brings it back as it is, and "
            "`verify_history` goes on naming these"
        )
    if not wrong and found.lost and not allowed.without_lost_photos:
        wrong = [f"photo {name}: {what}" for name, what in found.lost.items()]
        advice = ". Look for them in older backups; --without-lost-photos brings back all the rest"
    if wrong:
        raise BackupWrong(
            f"{len(wrong)} found wrong, nothing was restored: {wrong[0]}{advice}. "
            "`restore --verify` names all."
        )


def _all_in(
    folder: Path, manifest: dict[str, Any], media: dict[str, str], found: Found, now: datetime
) -> None:
    moved: set[str] = set()
    try:
        media_in.media_stage(folder, media)
        with transaction.atomic():
            _nobody_meanwhile()
            rows_in(folder, manifest)
            if different := restored_rows_troubles(manifest):
                raise BackupWrong(f"what is there differs from the backup: {different[0]}")
            Picture.objects.filter(file__in=list(found.lost)).update(lost_at=now)
            media_in.media_move_in(folder, media, moved)
    except (DatabaseError, OSError) as error:
        media_in.media_undo(moved)
        raise BackupWrong(
            f"nothing was restored: {type(error).__name__}: {' '.join(str(error).split())}"
        ) from error
    except BackupWrong:
        media_in.media_undo(moved)
        raise


def _nobody_meanwhile() -> None:
    """Locks out a second restore, and the making of a first person, while this one runs."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f'LOCK TABLE "{Person._meta.db_table}" IN EXCLUSIVE MODE')
    if Person.objects.exists():
        raise BackupWrong(NOT_EMPTY)


def rows_in(folder: Path, manifest: dict[str, Any]) -> None:
    for model in kept_models():
        _fill(folder, model, manifest["tables"][stored_label(model)])
    connection.check_constraints()
    _sequences()


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
        rows = rows_of_table(folder, model, said)
        while batch := list(islice(rows, A_BATCH)):
            values = [
                [f.get_db_prep_save(row[f.attname], connection=connection) for f in fields]
                for row in batch
            ]
            cursor.executemany(insert, values)


def _sequences() -> None:
    """Sets the sequences behind the restored rows, which kept their numbers."""
    statements = connection.ops.sequence_reset_sql(no_style(), kept_models())
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def restored_troubles(manifest: dict[str, Any]) -> list[str]:
    """The tables and files that are not, byte for byte, what the manifest says."""
    wrong = restored_rows_troubles(manifest)
    return wrong + [name for name, stated in manifest["media"].items() if file_ails(name, stated)]


def restored_rows_troubles(manifest: dict[str, Any]) -> list[str]:
    return [
        stored_label(model)
        for model in kept_models()
        if _rows_sum(model) != manifest["tables"][stored_label(model)]["sha256"]
    ]


def _rows_sum(model: Model) -> str:
    digest = hashlib.sha256()
    for line in row_lines(model, DEFAULT_DB_ALIAS):
        digest.update(line.encode() + b"\n")
    return digest.hexdigest()
