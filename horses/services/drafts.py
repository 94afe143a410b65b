"""What a phone kept and sends, accepted exactly once by its key, whatever kind of form it is.

A form that makes something has a key of its own (`horses/services/idempotency.py`); one that changes
or answers something has not, and after a lost answer nobody could tell whether it was taken. So the
key of the draft is written in the transaction in which its form is handled, and answered from there
when it comes again. Kept in the same table, under a name that no form's key has.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from horses.models import IdempotencyKey, Person
from horses.services.idempotency import payload_hash

PREFIX = "draft:"
LONGEST_KEY = 64 - len(PREFIX)  # the column's
LONGEST_ADDRESS = 200  # the column's
HOME = "/horses/"
# Differ from one sending to the next, and are nothing that the person wrote.
NOT_CONTENT = ("csrfmiddlewaretoken", "fresh_code", "fresh_again", "fresh_look")


@dataclass(frozen=True)
class Earlier:
    """Where an accepted draft led. An address holds no space: both are kept in one column."""

    to: str
    files_to: str = ""

    def as_answer(self) -> dict[str, Any]:
        """As the first answer was, for a phone that never heard it."""
        more = {"files_to": self.files_to} if self.files_to else {}
        return {"to": self.to, "said": [], **more}


class DraftChanged(Exception):
    """The key was accepted with other content: the one is saved, the other must not get lost."""


def draft_claim(
    person: Person,
    key: str,
    *,
    path: str,
    content: Mapping[str, Sequence[str]],
    now: datetime,
) -> Earlier | None:
    """None when the key is new, and taken now; else what it led to before.

    Must run inside the transaction that saves what the form holds. Raises DraftChanged.
    """
    typed = {name: list(values) for name, values in content.items() if name not in NOT_CONTENT}
    digest = payload_hash({"path": path, "typed": typed})
    try:
        with transaction.atomic():
            IdempotencyKey.objects.create(
                person=person, key=PREFIX + key, payload_hash=digest, result=HOME, used_at=now
            )
    except IntegrityError:
        earlier = IdempotencyKey.objects.get(person=person, key=PREFIX + key)
        if earlier.payload_hash != digest:
            raise DraftChanged("This was sent before with other content.") from None
        return Earlier(*earlier.result.split(" ", 1))
    return None


def draft_accepted(person: Person, key: str, address: str, files_to: str = "") -> None:
    """The draft led to the page at `address`; its pictures are awaited at `files_to`."""
    result = f"{address} {files_to}".strip()
    if len(result) <= LONGEST_ADDRESS:
        IdempotencyKey.objects.filter(person=person, key=PREFIX + key).update(result=result)


def draft_not_accepted(person: Person, key: str) -> None:
    """Nothing was saved: the same draft may come again, with the same content or another."""
    IdempotencyKey.objects.filter(person=person, key=PREFIX + key).delete()


def draft_was_accepted(person: Person, key: str) -> bool:
    return IdempotencyKey.objects.filter(person=person, key=PREFIX + key).exists()
