"""How a transaction that added jobs wakes a worker after its commit.

Celery and what the jobs need are imported by the first wake, not at the start: most commands add no
job (figures: tests/bench/FIGURES.md).
"""

import logging
import time

from django.conf import settings

from caseboard.lib.bell import Bell
from horses.jobs.outbox import set_waker

log = logging.getLogger("caseboard.work")
QUIET_S = 30  # after a failed wake, how long none is tried; the sweep finds the jobs meanwhile
_quiet_until = 0.0
# Heard by the workers of the one-process installation.
wake = Bell()


def connect_waker() -> None:
    set_waker(wake_celery if settings.CELERY_BROKER_URL else wake_here)


def wake_celery() -> None:
    """Sends the message; a broker that is down costs one page a second or two, not every page."""
    from caseboard.tasks import drain, drain_notices, drain_sheets

    global _quiet_until
    if time.monotonic() < _quiet_until:
        return
    try:
        drain_notices.apply_async(retry=False)
        drain_sheets.apply_async(retry=False)
        drain.apply_async(retry=False)
    except Exception as error:  # whatever the broker's client raises: the page must not fail
        _quiet_until = time.monotonic() + QUIET_S
        log.warning("wake.failed error=%s", type(error).__name__)


def wake_here() -> None:
    wake.set()
