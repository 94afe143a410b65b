"""Whose turn it is to do what the clock asks for, so that two clocks are as good as one.

Every worker process may have a clock. A piece of work by the clock is done by whichever worker takes
its turn first; for the others there is nothing to do until the next one.

Decided 2026-11-29: the rows are those of the signs of life, which are kept out of backups and thrown
away when they are old. A turn of its own in the outbox would have shown there as work that waits.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from horses.models import Heartbeat

KIND = "turn"


@contextmanager
def turn_taken(name: str, *, every: timedelta, hold: timedelta, now: datetime) -> Iterator[bool]:
    """Whether this worker does it. The next turn begins `every` after this one began.

    `hold`: how long nobody else begins while it is under way. A worker that dies at it leaves a turn
    that is free after that; one that fails leaves a turn that is free at once.
    """
    row = f"{KIND}:{name}"
    if not _take(row, now - every, now - every + hold):
        yield False
        return
    try:
        yield True
    except BaseException:
        _put(row, now - every)
        raise
    _put(row, now)


def _take(row: str, free_since: datetime, held: datetime) -> bool:
    """The moment kept is that from which `every` is counted."""
    if Heartbeat.objects.filter(name=row, beat_at__lte=free_since).update(beat_at=held):
        return True
    if Heartbeat.objects.filter(name=row).exists():
        return False
    try:
        with transaction.atomic():
            Heartbeat.objects.create(name=row, kind=KIND, beat_at=held)
    except IntegrityError:  # another worker made it at the same moment
        return False
    return True


def _put(row: str, moment: datetime) -> None:
    Heartbeat.objects.filter(name=row).update(beat_at=moment)
