"""A transaction wakes a worker once, however much work it asked for."""

import contextlib
from collections.abc import Iterator
from datetime import datetime

import pytest
from django.db import transaction

from horses.jobs import outbox

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def wakes() -> Iterator[list[str]]:
    calls: list[str] = []
    before = outbox._waker
    outbox.set_waker(lambda: calls.append("wake"))
    yield calls
    outbox.set_waker(before)


def test_many_pieces_of_work_wake_once(wakes: list[str], now: datetime) -> None:
    with transaction.atomic():
        for number in range(5):
            outbox.enqueue("horse.judge", str(number), now=now)
    assert wakes == ["wake"]


def test_a_savepoint_that_is_rolled_back_does_not_take_the_wake_along(
    wakes: list[str], now: datetime
) -> None:
    with transaction.atomic():
        with contextlib.suppress(ZeroDivisionError), transaction.atomic():
            outbox.enqueue("horse.judge", "lost", now=now)
            raise ZeroDivisionError
        outbox.enqueue("horse.judge", "kept", now=now)
    assert wakes == ["wake"]


def test_work_for_later_wakes_nobody(wakes: list[str], now: datetime) -> None:
    with transaction.atomic():
        outbox.enqueue("horse.judge", "later", now=now, due_at=now.replace(year=now.year + 1))
    assert wakes == []
