"""The same form sent twice gives one result: a lost answer may be asked for again safely."""

import hashlib
import json
from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar

from django.db import IntegrityError, models, transaction

from horses.models import ClientKey, Person

T = TypeVar("T", bound=models.Model)


class KeyReused(Exception):
    """The key came back with another content: refused, because one of the two would be lost."""


def payload_hash(payload: dict[str, Any]) -> str:
    text = json.dumps(payload, sort_keys=True, default=str, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def key_used(person: Person, client_key: str) -> bool:
    """Whether this form was saved before, so that what it would make is there already."""
    return bool(client_key) and ClientKey.objects.filter(person=person, key=client_key).exists()


def idempotent(
    person: Person,
    client_key: str,
    payload: dict[str, Any],
    *,
    now: datetime,
    make: Callable[[], T],
    model: type[T],
) -> T:
    """Runs `make` for a key not used before; for a used one returns what it made then.

    Must run inside the service's transaction; the payload says on which case. An empty key (commands, imports with checks of their
    own) always makes. Raises KeyReused when the same key carries another payload.
    """
    if not client_key:
        return make()
    digest = payload_hash({**payload, "makes": model._meta.label})
    try:
        with transaction.atomic():
            row = ClientKey.objects.create(
                person=person, key=client_key, payload_hash=digest, used_at=now
            )
    except IntegrityError:
        earlier = ClientKey.objects.get(person=person, key=client_key)
        if earlier.payload_hash != digest:
            raise KeyReused("This form was sent before with other content.") from None
        return model._default_manager.get(public_id=earlier.result)
    made = make()
    row.result = made.public_id  # type: ignore[attr-defined]  # whatever is made by a form has one
    row.save(update_fields=["result"])
    return made
