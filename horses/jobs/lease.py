"""A worker's lease on a job: short, and renewed while the worker lives.

It is short, so that a dead worker's job is soon free, and renewed, because some jobs take longer.
After LONGEST it is renewed no more, so that a job that hangs goes to another worker.

Decided 2026-11: a lease is 60 s and is renewed every 20 s. The road not taken: a lease as long as
the longest job, which leaves a dead worker's jobs lying for minutes. A worker that lost its lease
frees nothing.
"""

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

from django.conf import settings
from django.db import connection

from caseboard.lib import clock
from horses.models import Job

logger = logging.getLogger("horses.jobs.outbox")

LEASE = timedelta(seconds=settings.WORK_LEASE_SECONDS)
RENEW_EVERY = LEASE / 3  # house default: two renewals may be late and nothing is lost
LONGEST = timedelta(seconds=180)  # above the time limit of a task, after which nobody works on it


@contextmanager
def lease_kept(row: Job) -> Iterator[None]:
    """While the block runs, a second thread renews the lease of the row."""
    ended = threading.Event()
    thread = threading.Thread(target=_renew, args=(row, ended), name="lease", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def _renew(row: Job, ended: threading.Event) -> None:
    rounds = int(LONGEST / RENEW_EVERY)
    try:
        for _ in range(rounds):
            if ended.wait(RENEW_EVERY.total_seconds()) or not lease_renew(row):
                return
    finally:
        connection.close()  # this thread's own, if it ever needed one


def lease_renew(row: Job) -> bool:
    """Renews the lease; False when another worker has it."""
    try:
        until = clock.now() + LEASE
        held = Job.objects.filter(pk=row.pk, leased_by=row.leased_by)
        return bool(held.update(lease_until=until))
    except Exception as error:  # the database is away or busy: the next round tries again
        logger.warning("lease.not_renewed error=%s", type(error).__name__)
        return True
