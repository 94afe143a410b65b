"""A database that can be read and takes nothing new, for as long as a test wants it.

SQLite refuses by itself. PostgreSQL's own refusal would end the one transaction that all of a test
runs in, where each click has its own: there the refusal is put in front of it. With true processes
and the true refusal of either: tests/chaos/test_bad_days.py.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import InternalError, connection, transaction
from psycopg.errors import ReadOnlySqlTransaction

# Not the locks of `require`: pages take them inside a write only, and a test is one whole transaction.
WRITES = re.compile(r"\s*(INSERT|UPDATE|DELETE|TRUNCATE)\b", re.IGNORECASE)


@contextmanager
def no_writes() -> Iterator[None]:
    """From here on the database refuses every write, as on a full disk, and can be read."""
    if connection.vendor != "sqlite":
        with connection.execute_wrapper(_refused):
            yield
        return
    sid = transaction.savepoint()
    connection.connection.execute("PRAGMA query_only = ON")
    try:
        yield
    finally:
        connection.connection.execute("PRAGMA query_only = OFF")
        connection.set_rollback(False)
        transaction.savepoint_rollback(sid)


def _refused(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
    if WRITES.search(sql):
        cause = ReadOnlySqlTransaction("cannot write in a read-only transaction")
        raise InternalError(str(cause)) from cause
    return execute(sql, params, many, context)
