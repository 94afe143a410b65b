"""The same form sent twice gives one result: a lost answer may be asked for again safely."""

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any, TypeVar

from django.db import IntegrityError, models, transaction

from horses.models import IdempotencyKey, Person
from horses.models.base import stored_label

T = TypeVar("T", bound=models.Model)


class KeyReused(Exception):
    """The key came back with another content: refused, because one of the two would be lost."""


def payload_hash(payload: dict[str, Any]) -> str:
    text = json.dumps(payload, sort_keys=True, default=str, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def key_used(person: Person, client_key: str) -> bool:
    """Whether this form was saved before, so that what it would make is there already."""
    return (
        bool(client_key) and IdempotencyKey.objects.filter(person=person, key=client_key).exists()
    )


def key_claim(
    person: Person, client_key: str, payload: Mapping[str, Any], model: type[T], *, now: datetime
) -> tuple[IdempotencyKey | None, T | None]:
    """The key, taken now; or what it made when it was taken before.

    Must run inside the deed's transaction; the payload says on which case. Raises KeyReused when
    the same key carries another payload. `key_result` says afterwards what was made.
    """
    digest = payload_hash({**payload, "makes": stored_label(model)})
    try:
        with transaction.atomic():
            row = IdempotencyKey.objects.create(
                person=person, key=client_key, payload_hash=digest, used_at=now
            )
    except IntegrityError:
        earlier = IdempotencyKey.objects.get(person=person, key=client_key)
        if earlier.payload_hash != digest:
            raise KeyReused("This form was sent before with other content.") from None
        return None, model._default_manager.get(public_id=earlier.result)
    return row, None


def key_result(key: IdempotencyKey, made: models.Model) -> None:
    result = made.public_id  # type: ignore[attr-defined]  # whatever is made by a form has one
    IdempotencyKey.objects.filter(pk=key.pk).update(result=result)
