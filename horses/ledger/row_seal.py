"""Fingerprints of rows that are kept as written. A history line carries those of the rows that
came with it, so that the chain covers every column of them.

The fingerprint is taken of the values as the database gives them back, whichever database it is.

Decided 2026-11: services name the rows of a line, and a test does every deed and fails when one
forgets. The road not taken: comparing the words of the line with the row, which misses the columns
that no line repeats.
"""

import base64
import hashlib
from collections.abc import Iterable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from horses.ledger.canonical import canonical_text
from horses.models.base import AppendOnly, stored_label

LENGTH = 32  # 128 bits: a changed row with the same fingerprint cannot be found


def row_name(row: AppendOnly) -> str:
    return f"{stored_label(type(row)).lower()}:{row.public_id}"


def row_seal(row: AppendOnly) -> str:
    """Of all its columns but the database's own number. A column that a later version added counts
    where it holds something: older rows keep their fingerprint, and filling it in is found."""
    fields = {
        field.attname: _plain(field.to_python(getattr(row, field.attname)))
        for field in row._meta.concrete_fields
        if not field.primary_key
        and not (field.attname in row.sealed_when_set and _empty(getattr(row, field.attname)))
    }
    return hashlib.sha256(canonical_text(fields).encode()).hexdigest()[:LENGTH]


def _empty(value: Any) -> bool:
    """Zero is a value."""
    return value is None or value == "" or value is False


def rows_sealed(rows: Iterable[AppendOnly]) -> dict[str, str]:
    return {row_name(row): row_seal(row) for row in rows}


def _plain(value: Any) -> Any:
    """As JSON has it; the same for 51 and 51.000000, and for one moment in two time zones."""
    match value:
        case datetime():
            return value.astimezone(UTC).isoformat()
        case date():
            return value.isoformat()
        case Decimal():
            return f"{value.normalize():f}"
        case bytes() | memoryview():
            return base64.b64encode(bytes(value)).decode()
        case _:
            return value
