"""Rows that are kept as written: refused by the program, and by the database itself."""

from datetime import datetime

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from horses.ledger import triggers
from horses.models import HistoryLine, Note
from horses.models.base import AppendOnly, RowNeverChanges
from measurements.models import Reading, Target
from tests import build
from tests.cast import Cast
from tests.deeds import BY_NAME
from tests.lift import drop_kept_triggers
from tests.stage import Stage

pytestmark = pytest.mark.django_db
EVERY_KEPT = [model for model in apps.get_models() if issubclass(model, AppendOnly)]
MUST_BE_KEPT = {
    "Reading",
    "Note",
    "PlanItemVersion",
    "Agreement",
    "HistoryLine",
    "Flag",
    "FlagAnswer",
    "Exam",
    "ExamFoot",
    "Soundness",
    "HorseWeight",
    "Trim",
    "FootWork",
    "AlertResponse",
    "PlanItemOutcome",
    "Target",
    "TrimEvent",
}
KEPT = [model for model in EVERY_KEPT if model.__name__ in MUST_BE_KEPT]


@pytest.fixture
def full(stage: Stage, now: datetime) -> Stage:
    """At least one row in every kept table."""
    build.target(stage.access("vet"), now)
    version = stage.item.versions.get()
    for name in (
        "see an alert",
        "answer a flag",
        "weigh the horse",
        "agree to a plan item",
        "write up a visit",
    ):
        deed = BY_NAME[name]
        deed(stage, stage.access("owner" if "visit" not in name else "farrier"), now)
    from horses.models import PlanItemOutcome, Trim, TrimEvent, Visit

    TrimEvent.objects.create(trim=Trim.objects.all()[0], stands=True, said_at=now)
    PlanItemOutcome.objects.create(
        version=version,
        visit=Visit.objects.filter(status="kept")[0],
        result="done",
        recorded_by=stage.cast.farrier,
        recorded_at=now,
    )
    return stage


def test_what_must_never_change_is_kept() -> None:
    assert {model.__name__ for model in KEPT} == MUST_BE_KEPT


def test_every_kept_table_has_all_its_triggers(cast: Cast) -> None:
    catalogue = {
        "sqlite": ("SELECT name FROM sqlite_master WHERE type = 'trigger'", 2),
        "postgresql": ("SELECT tgname FROM pg_trigger WHERE tgenabled = 'O'", 3),
    }
    query, each = catalogue[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(query)
        there = {name for (name,) in cursor.fetchall()}
    for model in EVERY_KEPT:
        assert set(triggers.trigger_names(model._meta.db_table)[:each]) <= there, model


def _refused(sql: str) -> bool:
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)
    except DatabaseError as error:
        said = str(error)
    else:
        return False
    assert triggers.MESSAGE in said, said  # refused, but not by us
    return True


def test_the_database_refuses_to_change_any_kept_row(full: Stage) -> None:
    for model in KEPT:
        table = model._meta.db_table
        assert model._base_manager.exists(), table
        assert _refused(f'UPDATE "{table}" SET public_id = public_id'), table


def test_the_database_refuses_to_delete_any_kept_row(full: Stage) -> None:
    for model in KEPT:
        table = model._meta.db_table
        assert _refused(f'DELETE FROM "{table}"'), table
        assert _refused(f'DELETE FROM "{table}" WHERE id = (SELECT MIN(id) FROM "{table}")'), table


def test_the_database_refuses_to_empty_a_kept_table_at_once(full: Stage) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("only PostgreSQL has TRUNCATE")
    with connection.cursor() as cursor:
        # Else it refuses by itself: the test's own rows still wait to be checked at the commit.
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    for model in KEPT:
        assert _refused(f'TRUNCATE "{model._meta.db_table}" CASCADE'), model


def test_the_program_says_so_before_the_database_does(full: Stage) -> None:
    for model in KEPT:
        row = model._base_manager.first()
        assert row is not None
        with pytest.raises(RowNeverChanges):
            row.save()
        with pytest.raises(RowNeverChanges):
            row.delete()


def test_a_whole_query_is_refused_too(full: Stage) -> None:
    for model in KEPT:
        with pytest.raises(DatabaseError), transaction.atomic():
            model._base_manager.update(public_id="x")
        with pytest.raises((DatabaseError, RowNeverChanges)), transaction.atomic():
            model._base_manager.all()._raw_delete("default")


def test_a_new_kept_row_is_written_as_ever(cast: Cast, now: datetime) -> None:
    assert build.note(cast.access(cast.owner), now) == Note.objects.get()


def test_migrating_puts_lost_triggers_back(full: Stage) -> None:
    drop_kept_triggers()
    assert not _refused(f'UPDATE "{HistoryLine._meta.db_table}" SET verb = verb')
    call_command("migrate", verbosity=0)
    assert _refused(f'UPDATE "{HistoryLine._meta.db_table}" SET verb = verb')


def test_both_apps_have_kept_tables() -> None:
    tables = triggers.kept_tables()
    assert {m._meta.db_table for m in (HistoryLine, Reading, Target)} <= set(tables)
