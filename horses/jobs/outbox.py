"""The outbox: a job is written with its cause and run after the commit, whatever dies meanwhile.

A broker message (or an event in the one-process installation) only wakes a worker; a sweep picks
up jobs for which no worker was woken. A worker claims a row by setting its lease, so that only one
of two workers gets it; when that worker dies, the lease runs out and another claims the row.

Decided 2026-11: three lanes of background jobs (`most_rank`): notices, sheets, all. The one-process
installation has a thread for notices and one for all else, each with a bell of its own.
"""

import logging
import secrets
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from django.db import IntegrityError, transaction
from django.db.models import F, Q, QuerySet
from django.utils.module_loading import autodiscover_modules

from caseboard.lib import clock
from caseboard.lib.logging.request_id import log_bound, new_request_id, request_id, request_id_bound
from horses.jobs.lease import LEASE, lease_kept
from horses.models import Job

logger = logging.getLogger("horses.jobs.outbox")

# What is done first when more than one thing is due. A worker may be kept to the first of them
# (`most_rank`): one for notices takes no sheet to draw and no horse to judge, one for sheets no
# horse, so that neither keeps an urgent notice waiting.
URGENT, NOTICES, SHEETS, NUMBERS = 0, 1, 2, 3
BACKOFF = (10, 60, 300, 1800, 7200)  # seconds after the 1st, 2nd ... failure; house default
DEATHS = 20  # this many workers may die during one job before it counts as failed; house default
Handler = Callable[[str, datetime], None]

_handlers: dict[str, Handler] = {}
_waker: Callable[[], None] | None = None


class Later(Exception):
    """A handler cannot do its work now and asks for another try; it says why, and when if it
    knows: the try at that moment is then no failure."""

    def __init__(self, why: str, *, at: datetime | None = None) -> None:
        super().__init__(why)
        self.at = at


def job_handler(kind: str) -> Callable[[Handler], Handler]:
    """Registers the function that does one kind of job: `handler(key, now)`."""

    def register(handler: Handler) -> Handler:
        _handlers[kind] = handler
        return handler

    return register


@cache
def job_kinds_load() -> None:
    """Imports each app's `job_kinds`, which registers its handlers: before the first job, because
    most commands run none and need not wait for what the handlers import."""
    autodiscover_modules("job_kinds")


def set_waker(waker: Callable[[], None] | None) -> None:
    global _waker
    _waker = waker


def wake_workers() -> None:
    """Wakes a worker. A lost wake costs time, never a job: the sweep finds the row."""
    if _waker is not None:
        _waker()


def enqueue(
    kind: str, key: str, *, now: datetime, due_at: datetime | None = None, rank: int = NOTICES
) -> None:
    """Adds the job in the caller's transaction, at most one row for each kind and key."""
    due = due_at or now
    if not _want_again(kind, key, due, rank):
        try:
            with transaction.atomic():
                Job.objects.create(
                    kind=kind,
                    key=key,
                    due_at=due,
                    rank=rank,
                    created_at=now,
                    request_id=request_id(),
                )
        except IntegrityError:  # another transaction wrote it at the same moment
            _want_again(kind, key, due, rank)
    if due <= now:
        _wake_after_commit()


@dataclass(frozen=True)
class NewJob:
    """A job whose key nobody can have used: the id of a row written just now."""

    key: str
    due_at: datetime
    rank: int


def enqueue_new(kind: str, jobs: Iterable[NewJob], *, now: datetime) -> None:
    """Adds such jobs in the caller's transaction, all at once."""
    asked_by = request_id()
    rows = [
        Job(
            kind=kind,
            key=job.key,
            due_at=job.due_at,
            rank=job.rank,
            created_at=now,
            request_id=asked_by,
        )
        for job in jobs
    ]
    Job.objects.bulk_create(rows)
    if any(row.due_at <= now for row in rows):
        _wake_after_commit()


def _wake_after_commit() -> None:
    """Wakes once for each transaction, however many jobs it adds."""
    connection = transaction.get_connection()
    here = set(connection.savepoint_ids)
    # A wake asked for inside a savepoint goes with it when that is rolled back: only one that
    # will outlive this point is as good as ours.
    if not any(f is wake_workers and sids <= here for sids, f, _ in connection.run_on_commit):
        transaction.on_commit(wake_workers, robust=True)


def _want_again(kind: str, key: str, due: datetime, rank: int) -> bool:
    return bool(
        Job.objects.filter(kind=kind, key=key).update(
            wanted=F("wanted") + 1,
            due_at=due,
            rank=rank,
            set_aside_at=None,
            attempts=0,
            request_id=request_id(),
        )
    )


def claim(*, now: datetime, most_rank: int = NUMBERS, least_rank: int = URGENT) -> Job | None:
    """Claims the first due row for this worker, or None. Exactly one of two workers gets it."""
    free = Q(lease_until__isnull=True) | Q(lease_until__lt=now)
    due = Job.objects.filter(
        free, due_at__lte=now, set_aside_at__isnull=True, rank__range=(least_rank, most_rank)
    )
    for row in due.order_by("rank", "due_at", "pk")[:20]:
        mine = secrets.token_hex(8)
        died = int(row.lease_until is not None)
        taken = Job.objects.filter(free, pk=row.pk, wanted=row.wanted).update(
            lease_until=now + LEASE, leased_by=mine, attempts=F("attempts") + died
        )
        if not taken:
            continue
        row.lease_until, row.leased_by, row.attempts = now + LEASE, mine, row.attempts + died
        if died and row.attempts > DEATHS:
            _set_aside(row, now, "each worker that took it died")
            continue
        return row
    return None


def job_run(row: Job, *, now: datetime) -> bool:
    """Runs one claimed job; a failure is noted on the row, and the job is tried again later."""
    # The id of the click that asked for it; the log of the page and of the work read as one.
    job_kinds_load()
    with request_id_bound(row.request_id or new_request_id()), log_bound(work=row.kind):
        try:
            with lease_kept(row):
                _handlers[row.kind](row.key, now)
        except Exception as error:
            _put_back(row, error, now)
            return False
    done, _ = Job.objects.filter(pk=row.pk, wanted=row.wanted).delete()
    if not done:  # asked for again meanwhile: free it for another round
        _mine(row).update(lease_until=None)
    return True


def _mine(row: Job) -> QuerySet[Job]:
    """The row while this worker still holds it: one that lost its lease frees nobody else's."""
    return Job.objects.filter(pk=row.pk, leased_by=row.leased_by)


def _put_back(row: Job, error: Exception, now: datetime) -> None:
    waits = isinstance(error, Later) and error.at is not None
    attempts = row.attempts + (not waits)
    final = attempts > len(BACKOFF) and not isinstance(error, Later)
    due = now + timedelta(seconds=BACKOFF[min(max(attempts, 1), len(BACKOFF)) - 1])
    if isinstance(error, Later) and error.at is not None:
        due = error.at
    if not waits:
        log = logger.warning if isinstance(error, Later) else logger.exception
        log("work.failed kind=%s key=%s attempts=%s", row.kind, row.key, attempts)
    if final:
        logger.error("work.set_aside kind=%s key=%s", row.kind, row.key)
    trouble = f"{type(error).__name__}: {error}"[:1000]
    mine = (
        _mine(row)
        .filter(wanted=row.wanted)
        .update(
            attempts=attempts,
            lease_until=None,
            due_at=due,
            set_aside_at=now if final else None,
            trouble=trouble,
        )
    )
    if not mine:  # asked for again meanwhile: that request has all its tries before it
        _mine(row).update(lease_until=None, trouble=trouble)


def _set_aside(row: Job, now: datetime, trouble: str) -> None:
    logger.error("work.set_aside kind=%s key=%s", row.kind, row.key)
    _mine(row).update(set_aside_at=now, lease_until=None, trouble=trouble)


def jobs_failed() -> QuerySet[Job]:
    """The jobs that failed all their tries: a person must look at them."""
    return Job.objects.filter(set_aside_at__isnull=False).order_by("set_aside_at")


def mail_waiting() -> tuple[int, str]:
    """How many mails were tried and wait for another try, and what was said of the last of them."""
    waits = Job.objects.filter(kind__endswith=".mail", attempts__gt=0, set_aside_at__isnull=True)
    last = waits.order_by("-pk").values_list("trouble", flat=True).first()
    # An error that asks for another try holds kind and number only; of any other only its kind is shown.
    kind, _, words = (last or "").partition(": ")
    return waits.count(), (words if kind == "Later" else kind)[:80]


def failed_try_again(*, now: datetime) -> int:
    """Gives all failed jobs new tries; returns how many."""
    return jobs_failed().update(set_aside_at=None, attempts=0, due_at=now)


def oldest_due(*, now: datetime) -> datetime | None:
    """Since when the oldest due job waits; None when none is due."""
    due = Job.objects.filter(due_at__lte=now, set_aside_at__isnull=True)
    return due.order_by("due_at").values_list("due_at", flat=True).first()


def jobs_run_due(
    *,
    now: datetime | None = None,
    limit: int = 50,
    most_rank: int = NUMBERS,
    least_rank: int = URGENT,
) -> int:
    """Runs up to `limit` due jobs and returns how many it claimed. A fixed `now` is for tests."""
    count = 0
    while count < limit:
        moment = now or clock.now()
        row = claim(now=moment, most_rank=most_rank, least_rank=least_rank)
        if row is None:
            break
        job_run(row, now=moment)
        count += 1
    return count
