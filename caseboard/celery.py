"""Celery: with a broker, its workers run the outbox's jobs; without one, caseboard.processes.worker does.

Messages carry no jobs. A message only wakes a worker, which then reads the outbox; a lost message
costs the seconds until the next sweep.
"""

import os
from typing import Any

from celery import Celery
from celery.schedules import crontab
from celery.signals import beat_init, setup_logging, worker_init
from django.conf import settings

from caseboard.env_file import env_file_found

env_file_found()
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")

app = Celery("caseboard")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["caseboard"])
app.conf.beat_schedule = {
    "drain": {"task": "caseboard.drain", "schedule": float(settings.OUTBOX_SWEEP_SECONDS)},
    "drain_notices": {
        "task": "caseboard.drain_notices",
        "schedule": float(settings.OUTBOX_SWEEP_SECONDS),
    },
    "drain_sheets": {
        "task": "caseboard.drain_sheets",
        "schedule": float(settings.OUTBOX_SWEEP_SECONDS),
    },
    "nightly": {"task": "caseboard.nightly", "schedule": crontab(hour=2, minute=30)},
    "photos": {"task": "caseboard.photos_look", "schedule": crontab(hour=3, minute=30)},
    "judge_sweep": {
        "task": "caseboard.judge_sweep",
        "schedule": float(settings.JUDGE_SWEEP_SECONDS),
    },
}


NOTICES_EVERY_S = 1.0  # house default: one look at an index


@setup_logging.connect
def log_as_the_pages_do(**_: Any) -> None:
    """Connecting to setup_logging stops Celery from configuring logging: its own format has no fields
    and logs whatever errors quote. The configuration in the settings applies here too."""


@worker_init.connect
def load_before_the_children(**_: Any) -> None:
    """What the jobs need is imported once: the children of the worker begin with it."""
    from horses.jobs.outbox import job_kinds_load
    from horses.rules.engine import rules_load

    job_kinds_load()
    rules_load()


@beat_init.connect
def drain_beside_the_clock(**_: Any) -> None:
    """The clock's process (of `worker --beat`, or `beat` alone) also sweeps and drains by itself: while
    the broker is down, nobody else would. A sweep that a worker has done meanwhile is not its turn.

    A second thread looks for notices only: an urgent one goes out though every process of the worker
    is at a sheet or a horse.
    """
    from caseboard.processes.worker import Worker, notices_worker

    Worker(nightly=lambda: None).start()
    notices_worker(drain_every_s=NOTICES_EVERY_S).start()
