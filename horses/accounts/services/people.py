"""What a person says about themself: name, phone, units, words, paper."""

from contextlib import suppress
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError

from caseboard.lib.errors import Conflict
from horses.models import Person

# House defaults: a day to look into one's mail, and so many accounts that wait for it.
UNPROVEN_FOR, MOST_UNPROVEN = timedelta(days=1), 5_000
EDITABLE = (
    "name",
    "phone",
    "length_unit",
    "weight_unit",
    "side_words",
    "paper",
)


@transaction.atomic
def person_edit(*, person: Person, fields: dict[str, Any], version: int | None = None) -> Person:
    """Saves what changed. Only the person edits their own page, but perhaps on two devices: raises
    Conflict when it is no longer the `version` that was seen."""
    unknown = set(fields) - set(EDITABLE)
    if unknown:
        raise ValueError(f"not for the person to change: {sorted(unknown)}")
    row = Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    changed = [name for name, value in fields.items() if getattr(row, name) != value]
    if not changed:
        return row
    if version is not None and row.version != version:
        raise Conflict(fields, {name: getattr(row, name) for name in fields}, version=row.version)
    for name in changed:
        setattr(row, name, fields[name])
    row.version += 1
    row.save(update_fields=[*changed, "version"])
    return row


def name_is_sure(*, person: Person) -> None:
    """The name is the person's own word: they made the account, or were asked."""
    Person.objects.filter(pk=person.pk, name_unsure=True).update(name_unsure=False)
    person.name_unsure = False


@transaction.atomic
def name_confirm(*, person: Person, name: str) -> Person:
    """The name under which the person writes and agrees from now on, said by themself."""
    row = person_edit(person=person, fields={"name": name})
    name_is_sure(person=person)
    return row


def unproven_forget(*, now: datetime) -> int:
    """Takes away accounts that somebody made with an address from which no code has come back: those
    that are old, and the oldest beyond so many. Says how many."""
    waiting = Person.objects.filter(
        name_unsure=True, last_login=None, memberships=None, is_staff=False
    ).order_by("joined_at")
    ids = list(waiting.filter(joined_at__lt=now - UNPROVEN_FOR).values_list("pk", flat=True))
    if (over := waiting.count() - len(ids) - MOST_UNPROVEN) > 0:
        ids = list(waiting.values_list("pk", flat=True)[: len(ids) + over])
    for pk in ids:
        with suppress(ProtectedError):  # something hangs on it after all: it stays
            Person.objects.filter(pk=pk).delete()
    return len(ids)


def address_look_up(address: str) -> None:
    """Looks the address up and drops the answer, so that the page takes the same time either way."""
    list(Person.objects.filter(email__iexact=address))
