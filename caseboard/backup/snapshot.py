"""The whole database as it was at one moment, while people go on writing."""

import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection, connections, transaction
from django.db.utils import load_backend

ALIAS = "snapshot"


@contextmanager
def snapshot() -> Iterator[str]:
    """The alias of a connection that sees one moment only.

    SQLite is copied page by page first, because reading for long would keep writers waiting;
    PostgreSQL keeps the moment for a transaction.
    """
    with tempfile.TemporaryDirectory() as folder:
        settings = {**connection.settings_dict}
        if connection.vendor == "sqlite":
            settings["NAME"] = str(Path(folder) / "copy.sqlite3")
            _copy(settings["NAME"])
            settings["OPTIONS"] = {"timeout": 20}
        else:
            from psycopg import IsolationLevel

            level = IsolationLevel.REPEATABLE_READ
            settings["OPTIONS"] = {**settings.get("OPTIONS", {}), "isolation_level": level}
            settings["OPTIONS"].pop("pool", None)  # one connection, closed at the end
        connections[ALIAS] = load_backend(settings["ENGINE"]).DatabaseWrapper(settings, ALIAS)
        try:
            with transaction.atomic(using=ALIAS):
                yield ALIAS
        finally:
            connections[ALIAS].close()
            del connections[ALIAS]


def _copy(path: str) -> None:
    connection.ensure_connection()
    copy = sqlite3.connect(path)
    try:
        connection.connection.backup(copy)
    finally:
        copy.close()
