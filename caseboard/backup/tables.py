"""The tables of a backup and their rows as lines of text, the same from either database."""

import base64
import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db import models

from horses.models.base import stored_label

# Made anew by `migrate`, or worth nothing later; sign-ins are asked for anew after a restore.
LEFT_OUT = {
    "auth.Group",
    "auth.Group_permissions",
    "auth.Permission",
    "contenttypes.ContentType",
    "horses.CodeMail",
    "horses.Counter",
    "horses.Heartbeat",
    "horses.Person_groups",
    "horses.Person_user_permissions",
    "horses.WatchNote",
    "sessions.Session",
}
Model = type[models.Model]


def kept_models() -> list[Model]:
    """Every model whose rows are kept, by name."""
    every = [m for m in apps.get_models(include_auto_created=True) if m._meta.managed]
    chosen = [m for m in every if not m._meta.proxy and stored_label(m) not in LEFT_OUT]
    return sorted(chosen, key=lambda m: stored_label(m))


def fields_of(model: Model) -> "list[models.Field[Any, Any]]":
    return list(model._meta.concrete_fields)


def row_lines(model: Model, alias: str) -> Iterator[str]:
    """The rows of one table by their key, each as one line."""
    names = [field.attname for field in fields_of(model)]
    rows = model._base_manager.using(alias).order_by("pk").values_list(*names)
    for row in rows.iterator(chunk_size=2000):
        yield json.dumps(
            dict(zip(names, row, strict=True)), default=_plain, sort_keys=True, ensure_ascii=False
        )


def _plain(value: Any) -> str:
    match value:
        case datetime():
            return value.astimezone(UTC).isoformat()
        case date() | time():
            return value.isoformat()
        case Decimal() | UUID():
            return str(value)
        case timedelta():
            return str(value)
        case bytes() | memoryview():
            return base64.b64encode(bytes(value)).decode()
    raise TypeError(f"no way to write a {type(value).__name__}")


def row_value(model: Model, given: Any) -> dict[str, Any]:
    """A line back as values, field by field; KeyError when one is missing, ValueError when one is
    no field of this table."""
    fields = fields_of(model)
    if len(given) != len(fields):
        raise ValueError("other columns")
    return {field.attname: _value(field, given[field.attname]) for field in fields}


def _value(field: "models.Field[Any, Any]", given: Any) -> Any:
    if isinstance(field, models.JSONField) or given is None:
        return given
    target = field.target_field if isinstance(field, models.ForeignKey) else field
    return target.to_python(given)


def file_names(model: Model, row: dict[str, Any]) -> list[str]:
    """The files that a row names."""
    names = [row[f.attname] for f in fields_of(model) if isinstance(f, models.FileField)]
    return [name for name in names if name]
