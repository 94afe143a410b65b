"""What a person says about themself: name, phone, units, words, paper."""

from typing import Any

from django.db import transaction

from caseboard.lib.answers import Conflict
from horses.models import Person

EDITABLE = (
    "name", "phone", "length_unit", "weight_unit", "side_words", "paper",
)  # fmt: skip


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


def address_look_up(address: str) -> None:
    """Asks for who has the address and tells nobody: for its cost alone."""
    list(Person.objects.filter(email__iexact=address))
