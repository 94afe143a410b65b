"""The program before this one goes on working on the new schema: what no migration may do.

Rows that it inserts name only the columns it knows, so that a new one needs a default in the database
or may be empty; a column or table that it reads is still there for one version.

Decided 2026-11: new columns have a default in the database (`db_default`) or may be empty, and old
ones stay for one version, so that the program before this one works on during an upgrade.
"""

import gzip
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import migrations, models
from django.db.migrations import Migration
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations.base import Operation
from django.db.models import NOT_PROVIDED

from tests.caseboard.commands import manage

BEFORE = Path(__file__).parent / "upgrades" / "before_first_release.sql.gz"

# The first of each app that this holds for: what comes after the first release.
HELD_FROM = {"horses": 2, "measurements": 2}
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


def test_the_first_release_is_one_migration_an_app_that_names_those_before_it() -> None:
    loader = MigrationLoader(None)
    for app, how_many in (("horses", 17), ("measurements", 3)):
        first = loader.disk_migrations[app, "0001_first_release"]
        assert len(first.replaces) == how_many
    assert not any(name.endswith("first_release") for name, _ in later_migrations())


def test_a_database_made_before_the_first_release_goes_on(tmp_path: Path) -> None:
    """It holds a row of nearly every deed, written by the program of then."""
    database = sqlite3.connect(tmp_path / "caseboard.sqlite3")
    database.executescript(gzip.decompress(BEFORE.read_bytes()).decode())
    lines = database.execute("SELECT count(*) FROM horses_historyline").fetchone()
    database.close()
    assert lines[0] > 50
    migrated = manage("migrate", "-v0", state=tmp_path)
    assert migrated.returncode == 0, migrated.stderr
    verified = manage("verify_history", state=tmp_path)
    assert "CommandError: 0 line(s) and" in verified.stderr  # its two photos were left behind
    with sqlite3.connect(tmp_path / "caseboard.sqlite3") as after:
        assert after.execute("SELECT count(*) FROM horses_historyline").fetchone() == lines
        known = {row[0] for row in after.execute("SELECT name FROM django_migrations")}
        assert "0001_first_release" in known


def test_a_row_changed_in_it_is_found_after_the_upgrade(tmp_path: Path) -> None:
    path = tmp_path / "caseboard.sqlite3"
    with sqlite3.connect(path) as database:
        database.executescript(gzip.decompress(BEFORE.read_bytes()).decode())
        database.execute("DROP TRIGGER horses_alertword_kept_u")
        database.execute("UPDATE horses_alertword SET words = words || '!'")
    assert manage("migrate", "-v0", state=tmp_path).returncode == 0
    verified = manage("verify_history", state=tmp_path)
    assert verified.returncode != 0
    assert "horses.alertword" in verified.stdout + verified.stderr


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
