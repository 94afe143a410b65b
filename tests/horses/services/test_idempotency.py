"""The same form sent twice gives one result."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from horses.models import IdempotencyKey, Note
from horses.services.deed import deed
from horses.services.idempotency import KeyReused, payload_hash
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def _note(cast: Cast, now: datetime, key: str, body: str = "Once.") -> Note:
    access = cast.access(cast.owner)
    with deed(access, "note.write", now=now, key=key) as act:
        if earlier := act.made_before(Note, {"body": body}):
            return earlier
        return act.made(build.note(access, now, body))


def test_three_times_the_same_form_is_one_row(cast: Cast, now: datetime) -> None:
    made = {_note(cast, now, "k").pk for _ in range(3)}
    assert len(made) == Note.objects.count() == 1


def test_other_content_under_the_same_key_is_refused_and_the_first_stays(
    cast: Cast, now: datetime
) -> None:
    first = _note(cast, now, "k")
    with pytest.raises(KeyReused):
        _note(cast, now, "k", "Twice.")
    assert Note.objects.get() == first


def test_without_a_key_every_form_counts(cast: Cast, now: datetime) -> None:
    for _ in range(2):
        _note(cast, now, "")
    assert Note.objects.count() == 2
    assert not IdempotencyKey.objects.exists()


def test_a_key_under_which_nothing_was_made_is_free_again(cast: Cast, now: datetime) -> None:
    with pytest.raises(RuntimeError):
        _breaks(cast, now)
    assert _note(cast, now, "k").pk


def _breaks(cast: Cast, now: datetime) -> None:
    with deed(cast.access(cast.owner), "note.write", now=now, key="k") as act:
        act.made_before(Note, {})
        raise RuntimeError("the lorry is stuck")


def test_the_hash_hangs_on_values_not_on_the_order_of_fields() -> None:
    when = datetime(2026, 1, 1, tzinfo=UTC)
    one = {"a": Decimal("1.0"), "b": date(2026, 1, 1), "c": when}
    other = dict(reversed(one.items()))
    assert payload_hash(one) == payload_hash(other)
    assert payload_hash(one) != payload_hash({**one, "a": Decimal("1.1")})


def test_text_that_no_form_lets_through_still_has_a_hash() -> None:
    assert payload_hash({"words": "\ud800"})
