"""A stored row as plain values, for a copy that somebody takes along."""

from typing import Any

from django.db.models import ForeignKey, Model

from horses.models import Person

# Numbers and keys that mean something only inside this installation.
INSIDE = frozenset({"id", "version", "redacted_at", "lost_at"})


def row_values(row: Model, *, without: frozenset[str] = frozenset()) -> dict[str, Any]:
    """Every column under its own name. A person is named, another row goes by its public id."""
    values: dict[str, Any] = {}
    for field in row._meta.concrete_fields:
        if field.name in INSIDE | without:
            continue
        value = getattr(row, field.name if isinstance(field, ForeignKey) else field.attname)
        values["id" if field.name == "public_id" else field.name] = _plain(value)
    return values


def _plain(value: Any) -> Any:
    if isinstance(value, Person):
        return str(value)
    if isinstance(value, Model):
        return getattr(value, "public_id", None)
    if value is None or isinstance(value, bool | int | float | str | list | dict):
        return value
    return value.isoformat() if hasattr(value, "isoformat") else str(value)
