"""Makes the database itself refuse to change or delete the rows that are kept as written.

Installed after every migrate (Django rebuilds SQLite tables when a field changes and silently
drops their triggers with them). PostgreSQL's TRUNCATE passes row triggers by, so it has its own.
"""

from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from horses.models.base import AppendOnly

MESSAGE = "kept as written: add a correction instead"


def kept_tables() -> list[str]:
    return sorted(m._meta.db_table for m in apps.get_models() if issubclass(m, AppendOnly))


def trigger_names(table: str) -> tuple[str, str, str]:
    return f"{table}_kept_u", f"{table}_kept_d", f"{table}_kept_t"


def install(connection: BaseDatabaseWrapper) -> None:
    """Puts the triggers on every kept table that exists; harmless when they are there."""
    existing = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "CREATE OR REPLACE FUNCTION caseboard_kept() RETURNS trigger AS $$ "
                f"BEGIN RAISE EXCEPTION '{MESSAGE}'; END $$ LANGUAGE plpgsql"
            )
        for table in kept_tables():
            if table in existing:
                for statement in _statements(connection.vendor, table):
                    cursor.execute(statement)


def _statements(vendor: str, table: str) -> list[str]:
    update, delete, truncate = trigger_names(table)
    if vendor == "sqlite":
        refuse = f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
        return [
            f'CREATE TRIGGER IF NOT EXISTS "{update}" BEFORE UPDATE ON "{table}" {refuse}',
            f'CREATE TRIGGER IF NOT EXISTS "{delete}" BEFORE DELETE ON "{table}" {refuse}',
        ]
    each = [
        (update, "UPDATE", "ROW"),
        (delete, "DELETE", "ROW"),
        (truncate, "TRUNCATE", "STATEMENT"),
    ]
    return [
        f'CREATE OR REPLACE TRIGGER "{name}" BEFORE {event} ON "{table}" '
        f"FOR EACH {scope} EXECUTE FUNCTION caseboard_kept()"
        for name, event, scope in each
    ]


def install_after_migrate(using: str, **_: Any) -> None:
    install(connections[using])
