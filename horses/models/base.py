"""Base classes of all rows: an opaque public id, versions, and rows that never change."""

import secrets
from typing import Any, ClassVar

from django.db import models

# Lower-case letters and digits without the ones that are misread on paper (0/o, 1/l/i).
ID_ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"
ID_LENGTH = 16  # 31^16, about 79 bits: cannot be guessed
IDS = len(ID_ALPHABET) ** ID_LENGTH


def new_public_id() -> str:
    """One number of them all, spelt in the alphabet: the system is asked for chance once an id."""
    number, letters = secrets.randbelow(IDS), []
    for _ in range(ID_LENGTH):
        number, place = divmod(number, len(ID_ALPHABET))
        letters.append(ID_ALPHABET[place])
    return "".join(letters)


def stored_label(model: type[models.Model]) -> str:
    """The name of a model in what is stored: seals, keys of forms, backups. One that got a better
    name in the code keeps its first one there, and its table."""
    return str(getattr(model, "stored_as", model._meta.label))


class Record(models.Model):
    """A row that people can meet in an address; its number in the database stays private."""

    public_id = models.CharField(
        max_length=ID_LENGTH, unique=True, default=new_public_id, editable=False
    )

    class Meta:
        abstract = True


class Versioned(Record):
    """A row that people may edit: two people editing the same version cannot both win."""

    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True


class RowNeverChanges(Exception):
    """Someone tried to change or delete a row that is kept as it was written."""


class AppendOnly(Record):
    """A row that is never changed or deleted; a correction is a new row.

    The database refuses as well (see horses/ledger/triggers.py): this only says so earlier and more kindly.
    """

    # Columns that came after the first rows were sealed: part of a row's fingerprint only where they
    # hold something, so that older rows keep theirs (see horses/ledger/row_seal.py).
    sealed_when_set: ClassVar[frozenset[str]] = frozenset()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None and not self._state.adding:
            raise RowNeverChanges(
                f"{self._meta.label} is kept as written; add a correction instead."
            )
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> Any:
        raise RowNeverChanges(f"{self._meta.label} is never deleted.")
