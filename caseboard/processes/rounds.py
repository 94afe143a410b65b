"""What a worker does in one round: drains the outbox, and what the clock asks for.

Called by Celery's tasks (caseboard/tasks.py) and by the threads of the one-process installation
(caseboard/processes/worker.py), which does without Celery.
"""

import time
from datetime import timedelta

from django.conf import settings

from caseboard.lib import clock
from caseboard.lib.best_effort import best_effort
from horses.accounts.services.tidying import tidy
from horses.jobs.heartbeat import beat
from horses.jobs.outbox import NOTICES, NUMBERS, SHEETS, URGENT, jobs_run_due, wake_workers
from horses.jobs.turn import turn_taken
from horses.ledger.photo_check import photos_look as look_at_photos
from horses.rules.engine import evaluate_due, evaluate_forgotten

# A round claims no new job after this long, so that the task's time limit (settings) covers its last
# job and not a long queue. House default.
TAKE_FOR_S = 30

# What the clock asks for is done once, however many clocks there are. A turn ends a little before the
# next is due, so that a clock that is early loses none. House defaults.
SWEEP_EVERY = timedelta(seconds=0.8 * settings.JUDGE_SWEEP_SECONDS)
NIGHTLY_EVERY = timedelta(hours=20)
# As long as the time limit of the task, after which nobody works on it.
HOLD, PHOTOS_HOLD = timedelta(seconds=settings.CELERY_TASK_TIME_LIMIT), timedelta(hours=1)


def drain(most_rank: int = NUMBERS, least_rank: int = URGENT) -> None:
    """Runs due jobs until none is left, the urgent ones first."""
    beat("worker")
    end = time.monotonic() + TAKE_FOR_S
    while jobs_run_due(limit=1, most_rank=most_rank, least_rank=least_rank):
        if time.monotonic() > end:
            wake_workers()
            return


def drain_notices() -> None:
    """Notices only, for whoever keeps a worker to them: that one is never busy with an evaluation."""
    drain(NOTICES)


def drain_but_notices() -> None:
    """All else, for the thread beside the one that does notices: only one sends mail at a time, so
    that a process killed at any moment leaves at most one mail to be sent again."""
    drain(least_rank=SHEETS)


def drain_sheets() -> None:
    """Sheets, and notices before them: somebody stands at the printer while 500 horses are judged."""
    drain(SHEETS)


def sweep() -> None:
    """Asks the calendar rules (overdue, unanswered) of every horse whose moment has come."""
    beat("clock")
    now = clock.now()
    with turn_taken("sweep", every=SWEEP_EVERY, hold=HOLD, now=now) as mine:
        if mine:
            evaluate_due(now=now)
            best_effort("tidying", lambda: tidy(now=now), otherwise=None)


def nightly() -> None:
    """What is looked at once a day: horses that no moment was foreseen for, and what failed."""
    now = clock.now()
    with turn_taken("nightly", every=NIGHTLY_EVERY, hold=HOLD, now=now) as mine:
        if mine:
            evaluate_forgotten(now=now)


def photos_look() -> None:
    """Once a day: whether every photo is still there as it was added."""
    now = clock.now()
    with turn_taken("photos", every=NIGHTLY_EVERY, hold=PHOTOS_HOLD, now=now) as mine:
        if mine:
            look_at_photos(now=now)


def nightly_here() -> None:
    """Both, for the installation of one process."""
    nightly()
    photos_look()
