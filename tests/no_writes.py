"""A database that can be read and takes nothing new, for as long as a test wants it.

SQLite refuses by itself, and so does PostgreSQL where each click is a transaction of its own. Its
refusal would end the one transaction that all of another test runs in: there it is put in front. With
true processes: tests/chaos/test_bad_days.py.
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
        with (
            _by_itself() if not connection.in_atomic_block else connection.execute_wrapper(_refused)
        ):
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


@contextmanager
def _by_itself() -> Iterator[None]:
    """Every transaction of this line is a reading one, the locks of rows refused with the writes."""
    with connection.cursor() as cursor:
        cursor.execute("SET default_transaction_read_only = on")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("SET default_transaction_read_only = off")


def _refused(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
    if WRITES.search(sql):
        cause = ReadOnlySqlTransaction("cannot write in a read-only transaction")
        raise InternalError(str(cause)) from cause
    return execute(sql, params, many, context)
