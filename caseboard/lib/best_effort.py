"""Writes that go along with reading a page (seen marks, last use): skipped when they cannot be made.

So reading goes on while the disk is full or the database accepts no writes.

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
    """Returns what `write` returns, or `otherwise` when the database refuses. Runs in a savepoint or
    transaction of its own, so that a refusal rolls back nothing else. `what` is for the log."""
    try:
        with transaction.atomic():
            return write()
    except DatabaseError as error:
        log.warning("not_written", what=what, error=type(error).__name__)
        return otherwise
