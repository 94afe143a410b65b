"""Whether the rows of a backup hold together: each number once, and no row that points nowhere."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from django.db.models import ForeignKey

from caseboard.backup.tables import Model, fields_of
from horses.models.base import stored_label


class RowsCheck:
    """Takes every row of every table, then says what does not hold."""

    def __init__(self, models: list[Model]) -> None:
        self._there: dict[str, set[Any]] = {stored_label(model): set() for model in models}
        self._wanted: dict[tuple[str, str, str], set[Any]] = defaultdict(set)
        self._twice: dict[str, int] = defaultdict(int)
        self._left_out: set[str] = set()

    def take(self, model: Model, row: dict[str, Any]) -> None:
        label = stored_label(model)
        key = row[model._meta.pk.attname]
        self._twice[label] += key in self._there[label]
        self._there[label].add(key)
        for field in fields_of(model):
            if isinstance(field, ForeignKey) and row[field.attname] is not None:
                target = stored_label(field.related_model)
                if target in self._there and field.target_field.primary_key:
                    self._wanted[label, field.name, target].add(row[field.attname])

    def leave_out(self, model: Model) -> None:
        """Skips a table that could not be read to its end: that was reported, and proves nothing about others."""
        self._left_out.add(stored_label(model))

    def troubles(self) -> Iterator[str]:
        for label, count in self._twice.items():
            if count:
                yield f"{label}: {count} row(s) with a number that another row has"
        for (label, name, target), ids in self._wanted.items():
            known = not {label, target} & self._left_out
            if known and (gone := ids - self._there[target]):
                yield f"{label}: its {name} names {len(gone)} row(s) of {target} that are not there"
