"""What a reader's click writes beside the page: written if it can be, left out if it cannot.

The disk may be full, or the database may take nothing new. Reading goes on all the same.

Decided 2026-11: reading never needs a write. A form that the database or the disk refuses is held
on a 503 page (caseboard/http/not_saved.py).
"""

from collections.abc import Callable
from typing import TypeVar

from django.db import DatabaseError, transaction

from caseboard.lib.logging.fields import logger

log = logger("caseboard.best_effort")
T = TypeVar("T")


def best_effort(what: str, write: Callable[[], T], *, otherwise: T) -> T:
    """What `write` gives; `otherwise` when the database refuses. In a savepoint or transaction of
    its own, so that a refusal takes nothing else with it. `what` is for the log."""
    try:
        with transaction.atomic():
            return write()
    except DatabaseError as error:
        log.warning("not_written", what=what, error=type(error).__name__)
        return otherwise
