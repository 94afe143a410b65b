"""The rows of a backup's table, each checked to be one, and all against the manifest."""

import gzip
import hashlib
import json
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError

from caseboard.backup.manifest import BackupWrong, file_sum
from caseboard.backup.tables import Model, row_value


def rows_of_table(folder: Path, model: Model, said: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Raises BackupWrong, at the latest after the last row, when they are not those of the manifest."""
    for number, line in enumerate(table_lines(folder, said), start=1):
        try:
            yield row_value(model, json.loads(line))
        except (ValueError, TypeError, KeyError, ArithmeticError, ValidationError, RecursionError):
            raise BackupWrong(f"row {number} cannot be read") from None


def table_lines(folder: Path, said: dict[str, Any]) -> Iterator[str]:
    """The lines of one table, checked against the manifest; BackupWrong when they do not fit."""
    digest, count, path = hashlib.sha256(), 0, folder / said["file"]
    try:
        if path.is_symlink():
            raise BackupWrong("leads outside of the backup")
        if file_sum(path) != said["packed_sha256"]:
            raise BackupWrong("its file was changed")
        with gzip.open(path, "rt", encoding="utf-8", newline="\n") as file:
            for line in file:
                digest.update(line.encode())
                count += 1
                yield line.rstrip("\n")
    except (OSError, EOFError, zlib.error, UnicodeDecodeError) as error:
        raise BackupWrong(f"cannot be read: {type(error).__name__}") from None
    if count != said["rows"]:
        raise BackupWrong(f"{count} rows, not {said['rows']}")
    if digest.hexdigest() != said["sha256"]:
        raise BackupWrong("its rows were changed")
