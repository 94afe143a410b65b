"""The doors by which Celery reaches the work; nothing else happens here."""

from celery import shared_task

from caseboard.lib import clock
from horses.judge import judge_sweep
from horses.work import work_run_due


@shared_task(name="caseboard.drain", expires=60)
def drain() -> None:
    """Does what is due until nothing is."""
    while work_run_due(limit=50):
        pass


@shared_task(name="caseboard.judge_sweep", expires=600)
def sweep() -> None:
    """Asks the calendar rules (overdue, unanswered) of every case that may need it."""
    judge_sweep(now=clock.now())
