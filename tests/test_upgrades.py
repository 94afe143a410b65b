"""The program before this one goes on working on the new schema: what no migration may do.

Rows that it inserts name only the columns it knows, so that a new one needs a default in the database
or may be empty; a column or table that it reads is still there for one version.
"""

from collections.abc import Iterator

import pytest
from django.db import migrations, models
from django.db.migrations import Migration
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations.base import Operation
from django.db.models import NOT_PROVIDED

# The first of each app that this holds for: those before it were made before anybody ran a version.
HELD_FROM = {"horses": 9, "measurements": 2}
# Columns and tables taken away, by "app.migration: what", with the version that last used them.
TAKEN_AWAY: dict[str, str] = {}


def later_migrations() -> Iterator[tuple[str, Migration]]:
    """Those that a running installation may meet."""
    loader = MigrationLoader(None)
    for (app, name), migration in sorted(loader.disk_migrations.items()):
        if app in HELD_FROM and int(name[:4]) >= HELD_FROM[app]:
            yield f"{app}.{name}", migration


def troubles(name: str, operation: Operation) -> Iterator[str]:
    match operation:
        case migrations.AddField():
            field = operation.field
            safe = field.null or field.many_to_many or field.db_default is not NOT_PROVIDED
            if not safe:
                yield f"{name}: {operation.model_name}.{operation.name} has no default in the database"
        case migrations.RemoveField() | migrations.DeleteModel():
            what = f"{name}: {operation.describe()}"
            if what not in TAKEN_AWAY:
                yield what
        case migrations.RenameField() | migrations.RenameModel() | migrations.AlterModelTable():
            yield f"{name}: {operation.describe()}: the program before knows the old name"


def test_no_migration_takes_the_schema_from_the_program_before() -> None:
    found = [
        trouble
        for name, migration in later_migrations()
        for operation in migration.operations
        for trouble in troubles(name, operation)
    ]
    assert found == []


def test_the_migrations_are_walked() -> None:
    names = [name for name, _ in later_migrations()]
    assert any(name.endswith("_work_request_id") for name in names)
    assert not any(name.endswith("0001_initial") for name in names)


@pytest.mark.parametrize(
    ("operation", "bad"),
    [
        (migrations.AddField("horse", "x", models.CharField(max_length=3, default="")), True),
        (migrations.AddField("horse", "x", models.CharField(max_length=3, db_default="")), False),
        (migrations.AddField("horse", "x", models.DateField(null=True)), False),
        (migrations.RemoveField("horse", "name"), True),
        (migrations.RenameField("horse", "name", "called"), True),
        (migrations.AddIndex("horse", models.Index(fields=["name"], name="i")), False),
    ],
)
def test_what_would_break_it_is_named(operation: Operation, bad: bool) -> None:
    assert bool(list(troubles("horses.9999", operation))) is bad
