"""The outbox: work is written with its cause and done after the commit, whatever dies meanwhile.

A broker message (or an event in the one-process installation) only wakes a worker; a sweep picks
up what nobody was woken for. A worker takes a row by moving its lease, so that of two workers one
gets it; when the worker dies the lease runs out and another takes over.
"""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import F, Q

from caseboard.lib import clock
from horses.models import Work

logger = logging.getLogger("horses.work")

LEASE = timedelta(seconds=60)  # house default: a dead worker's work is picked up within 90 s
BACKOFF = (10, 60, 300, 1800, 7200)  # seconds after the 1st, 2nd ... failure; house default
Handler = Callable[[str, datetime], None]

_handlers: dict[str, Handler] = {}
_waker: Callable[[], None] | None = None


class Later(Exception):
    """A handler cannot do its work now and asks for another try; it says why."""


def work_handler(kind: str) -> Callable[[Handler], Handler]:
    """Registers the function that does one kind of work: `handler(key, now)`."""

    def register(handler: Handler) -> Handler:
        _handlers[kind] = handler
        return handler

    return register


def set_waker(waker: Callable[[], None] | None) -> None:
    global _waker
    _waker = waker


def work_wake() -> None:
    """Tells a worker that there is something to do. Losing this costs time, never work."""
    if _waker is not None:
        _waker()


def work_want(kind: str, key: str, *, now: datetime, due_at: datetime | None = None) -> None:
    """Writes down, in the caller's transaction, that this work is wanted, once a kind and key."""
    due = due_at or now
    if not _want_again(kind, key, due):
        try:
            with transaction.atomic():
                Work.objects.create(kind=kind, key=key, due_at=due, created_at=now)
        except IntegrityError:  # another transaction wrote it at the same moment
            _want_again(kind, key, due)
    if due <= now:
        _wake_after_commit()


def _wake_after_commit() -> None:
    """One wake a transaction, however much it asked for."""
    connection = transaction.get_connection()
    here = set(connection.savepoint_ids)
    # A wake asked for inside a savepoint goes with it when that is rolled back: only one that
    # will outlive this point is as good as ours.
    if not any(f is work_wake and sids <= here for sids, f, _ in connection.run_on_commit):
        transaction.on_commit(work_wake, robust=True)


def _want_again(kind: str, key: str, due: datetime) -> bool:
    return bool(
        Work.objects.filter(kind=kind, key=key).update(
            wanted=F("wanted") + 1, due_at=due, set_aside_at=None, attempts=0
        )
    )


def work_take(*, now: datetime) -> Work | None:
    """Takes the oldest due row for this worker, or None. Of two workers exactly one gets it."""
    free = Q(lease_until__isnull=True) | Q(lease_until__lt=now)
    due = Work.objects.filter(free, due_at__lte=now, set_aside_at__isnull=True)
    for row in due.order_by("due_at", "pk")[:20]:
        taken = Work.objects.filter(free, pk=row.pk, wanted=row.wanted).update(
            lease_until=now + LEASE
        )
        if taken:
            row.lease_until = now + LEASE
            return row
    return None


def work_do(row: Work, *, now: datetime) -> bool:
    """Does one taken row; a failure is kept with the row and tried again later."""
    try:
        _handlers[row.kind](row.key, now)
    except Exception as error:
        _put_back(row, error, now)
        return False
    done, _ = Work.objects.filter(pk=row.pk, wanted=row.wanted).delete()
    if not done:  # asked for again meanwhile: free it for another round
        Work.objects.filter(pk=row.pk).update(lease_until=None)
    return True


def _put_back(row: Work, error: Exception, now: datetime) -> None:
    attempts = row.attempts + 1
    final = attempts > len(BACKOFF) and not isinstance(error, Later)
    wait = timedelta(seconds=BACKOFF[min(attempts, len(BACKOFF)) - 1])
    log = logger.warning if isinstance(error, Later) else logger.exception
    log("work.failed kind=%s key=%s attempts=%s", row.kind, row.key, attempts)
    trouble = f"{type(error).__name__}: {error}"[:1000]
    mine = Work.objects.filter(pk=row.pk, wanted=row.wanted).update(
        attempts=attempts,
        lease_until=None,
        due_at=now + wait,
        set_aside_at=now if final else None,
        trouble=trouble,
    )
    if not mine:  # asked for again meanwhile: that request has all its tries before it
        Work.objects.filter(pk=row.pk).update(lease_until=None, trouble=trouble)


def work_run_due(*, now: datetime | None = None, limit: int = 50) -> int:
    """Does up to `limit` due rows and says how many were taken. `now` fixed is for tests."""
    count = 0
    while count < limit:
        moment = now or clock.now()
        row = work_take(now=moment)
        if row is None:
            break
        work_do(row, now=moment)
        count += 1
    return count
