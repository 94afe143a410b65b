"""Lets tests empty the tables whose rows the database refuses to change or delete.

A transactional test ends by emptying every table, which the triggers of horses/ledger/triggers.py refuse.
They are dropped for that moment and put back before the next test. Production has no such way:
this lives with the tests, and needs the right to change tables.
"""

from typing import Any

from django.db import connections
from django.test import TransactionTestCase

from horses.ledger import triggers


def drop_kept_triggers(alias: str = "default") -> None:
    connection = connections[alias]
    with connection.cursor() as cursor:
        for table in triggers.kept_tables():
            for name in triggers.trigger_names(table):
                on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on}')


def wrap_teardown() -> None:
    """Called once, before the first test. Tests that roll back never come by here."""
    case: Any = TransactionTestCase  # the method is not in its published types
    original = case._fixture_teardown

    def _fixture_teardown(self: TransactionTestCase) -> Any:
        drop_kept_triggers()
        try:
            return original(self)
        finally:
            triggers.install(connections["default"])

    case._fixture_teardown = _fixture_teardown
