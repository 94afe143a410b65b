"""A database that can be read and takes nothing new, for as long as a test wants it."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def no_writes() -> Iterator[None]:
    """From here on the database refuses every write, as on a full disk, and can be read."""
    sid = transaction.savepoint()
    if connection.vendor == "sqlite":
        connection.connection.execute("PRAGMA query_only = ON")
    else:
        connection.cursor().execute("SET TRANSACTION READ ONLY")
    try:
        yield
    finally:
        if connection.vendor == "sqlite":
            connection.connection.execute("PRAGMA query_only = OFF")
        connection.set_rollback(False)
        transaction.savepoint_rollback(sid)
