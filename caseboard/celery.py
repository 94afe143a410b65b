"""Celery: with a broker, workers do the outbox's work; without one, caseboard.worker does.

No work travels in a message. A message only wakes a worker, which then reads the outbox; a lost
one costs the seconds until the next sweep.
"""

import os

from celery import Celery
from django.conf import settings

from caseboard.lib.logs import logger

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")

log = logger("caseboard.work")
app = Celery("caseboard")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["caseboard"])
app.conf.beat_schedule = {
    "drain": {"task": "caseboard.drain", "schedule": float(settings.OUTBOX_SWEEP_SECONDS)},
    "judge_sweep": {
        "task": "caseboard.judge_sweep",
        "schedule": float(settings.JUDGE_SWEEP_SECONDS),
    },
}


def connect_waker() -> None:
    """Says how a transaction that wrote work wakes a worker once it is committed."""
    from horses.work import set_waker

    set_waker(wake_celery if settings.CELERY_BROKER_URL else wake_here)


def wake_celery() -> None:
    from caseboard.tasks import drain

    try:
        drain.apply_async(retry=False)
    except Exception as error:  # whatever the broker's client raises: the page must not fail
        log.warning("wake.failed", error=type(error).__name__)


def wake_here() -> None:
    from caseboard.worker import wake

    wake.set()
