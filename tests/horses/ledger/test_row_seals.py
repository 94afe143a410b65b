"""Rows that are kept as written and were changed behind the program's back are found, in whichever
column; and so is one that is gone. Rows that no history speaks of are counted."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import StringIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.management import CommandError, call_command
from django.db import models, transaction

from horses.ledger.row_seal import row_name, row_seal
from horses.ledger.verify import broken_lines
from horses.ledger.verify_rows import line_seals, rows_without_line, sealed_models
from horses.models import AlertResponse, Case, HistoryLine, HorseWeight, Note
from horses.models.base import AppendOnly, stored_label
from horses.services.visits import ItemOutcome, WorkDone, visit_record
from tests import build
from tests.cast import Cast
from tests.deeds import BY_NAME, DEEDS
from tests.lift import drop_kept_triggers
from tests.rights import allowed
from tests.stage import Stage

pytestmark = pytest.mark.django_db
MORE = {
    "see an alert": "owner",
    "weigh the horse": "owner",
    "answer a flag": "vet",
    "agree to a plan item": "owner",
    "reply about a plan item": "vet",
    "note how the feet point": "vet",
    "take back a visit": "farrier",
    "place points": "vet",
}


@pytest.fixture
def full(stage: Stage, now: datetime) -> Stage:
    """At least one row of every kind, each written by the program."""
    build.target(stage.access("vet"), now)
    for name, role in MORE.items():
        BY_NAME[name](stage, stage.access(role), now)
    version = stage.items_of["farrier"].versions.get()
    visit_record(
        access=stage.access("farrier"),
        kept_on=now.date(),
        now=now,
        work=[WorkDone(foot="LF", trimmed=True, shoeing_left="shod")],
        outcomes=[ItemOutcome(version.public_id, "done")],
    )
    return stage


@contextmanager
def undone() -> Iterator[None]:
    sid = transaction.savepoint()
    yield
    transaction.savepoint_rollback(sid)


def found(stage: Stage) -> list[str]:
    cases = (stage.cast.concern, stage.cast.case, stage.cast.other_case)
    return [what for case in cases for _, what in broken_lines(case)]


def another(field: Any, value: Any) -> Any:
    """A value that the column takes, and is not the one that stands in it."""
    if isinstance(field, models.JSONField):
        return {"changed": True}
    if isinstance(field, models.ForeignKey):
        return (value or 0) + 1_000_000
    if value is None:
        return NOTHING[field.get_internal_type()]
    match value:
        case bool():
            return not value
        case int():
            return value + 1000
        case Decimal() | float():
            return value + 1
        case datetime():
            return value + timedelta(microseconds=1)
        case date():
            return value + timedelta(days=1)
        case _:
            return ("y" if str(value)[:1] == "x" else "x") + str(value)[1:]


NOTHING: dict[str, Any] = {
    "DateField": date(2026, 1, 1),
    "DateTimeField": datetime(2026, 1, 1, tzinfo=UTC),
    "DecimalField": Decimal(2),
    "PositiveSmallIntegerField": 2,
    "PositiveIntegerField": 2,
    "SmallIntegerField": 2,
    "IntegerField": 2,
    "FloatField": 0.0,
}


def columns(model: type[models.Model]) -> list[Any]:
    return [field for field in model._meta.concrete_fields if not field.primary_key]


def test_every_kind_of_row_is_spoken_of_by_a_line(full: Stage) -> None:
    names = {
        name.partition(":")[0] for line in HistoryLine.objects.all() for name in line_seals(line)
    }
    assert names == {stored_label(model).lower() for model in sealed_models()}
    assert len(names) >= 19
    assert rows_without_line() == {}
    assert found(full) == []


def test_no_deed_forgets_to_speak_of_a_row(stage: Stage, now: datetime) -> None:
    for deed in DEEDS:
        role = next(r for r in ("owner", "vet", "farrier", "carer") if allowed(deed.action, r))
        with undone():
            deed(stage, stage.access(role), now)
            assert rows_without_line() == {}, deed.name
            assert found(stage) == [], deed.name


def test_a_change_of_any_column_of_any_kind_of_row_is_found(full: Stage) -> None:
    drop_kept_triggers()
    missed = []
    for model in sealed_models():
        rows = list(model._base_manager.order_by("pk"))
        for number, field in enumerate(columns(model)):
            row = rows[number % len(rows)]  # not the same row for every column
            with undone():
                value = another(field, getattr(row, field.attname))
                model._base_manager.filter(pk=row.pk).update(**{field.attname: value})
                if not any(row.public_id in what for what in found(full)):
                    missed.append(f"{model.__name__}.{field.attname}")
    assert missed == []


def test_a_change_of_any_column_of_a_line_is_found(full: Stage) -> None:
    """But for its public id, which leads nowhere."""
    drop_kept_triggers()
    lines = list(HistoryLine.objects.filter(case=full.cast.concern).order_by("seq"))
    missed = []
    for number, field in enumerate(columns(HistoryLine)):
        line = lines[number % len(lines)]
        with undone():
            value = another(field, getattr(line, field.attname))
            HistoryLine.objects.filter(pk=line.pk).update(**{field.attname: value})
            if not found(full):
                missed.append(field.attname)
    assert missed == ["public_id"]


def test_a_row_that_is_gone_is_found(full: Stage) -> None:
    drop_kept_triggers()
    weight = HorseWeight.objects.get()
    HorseWeight.objects.filter(pk=weight.pk)._raw_delete("default")
    assert found(full) == [f"horses.horseweight {weight.public_id} is gone"]


def test_a_row_put_in_beside_the_program_is_counted(full: Stage, now: datetime) -> None:
    said = Note.objects.filter(case=full.cast.concern).order_by("pk")[0]
    Note.objects.create(
        case=said.case,
        author=said.author,
        author_role=said.author_role,
        audience=said.audience,
        body="She never said this.",
        written_at=now,
    )
    assert rows_without_line() == {"horses.note": 1}
    out = StringIO()
    call_command("verify_history", stdout=out)
    assert "horses.note: 1 row(s) that no line speaks of" in out.getvalue()


def test_the_command_names_the_line_that_came_with_the_row(full: Stage) -> None:
    drop_kept_triggers()
    said = Note.objects.filter(case=full.cast.concern).order_by("pk")[0]
    line = HistoryLine.objects.get(subject=said.public_id)
    Note.objects.filter(pk=said.pk).update(body="All is well.")
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("verify_history", stdout=out)
    case = full.cast.concern.public_id
    assert (
        f"case {case}, line {line.seq}: horses.note {said.public_id} was changed" in out.getvalue()
    )


def test_a_fingerprint_cannot_be_swapped_for_another(full: Stage) -> None:
    """Who changes the row and the fingerprint in its line has changed the line."""
    drop_kept_triggers()
    said = Note.objects.filter(case=full.cast.concern).order_by("pk")[0]
    line = HistoryLine.objects.get(subject=said.public_id)
    Note.objects.filter(pk=said.pk).update(body="All is well.")
    forged = Note.objects.get(pk=said.pk)
    text = line.canonical.replace(line_seals(line)[row_name(forged)], row_seal(forged))
    HistoryLine.objects.filter(pk=line.pk).update(canonical=text)
    assert found(full) == ["its text was changed"]


def test_lines_from_before_there_were_fingerprints_still_fit(cast: Cast, now: datetime) -> None:
    """Written as the program before this one wrote them: no word of rows at all."""
    from horses.ledger.append import history_append

    with transaction.atomic():
        line = history_append(
            case=cast.case, actor=cast.owner, role="owner", verb="note.written", now=now
        )
    assert '"rows"' not in line.canonical
    assert list(broken_lines(Case.objects.get(pk=cast.case.pk))) == []


SAME: dict[str, tuple[Callable[[Any], Any], str]] = {
    "decimals": (lambda row: Decimal("480.0000"), "weight_kg"),
    "a moment elsewhere": (
        lambda row: row.recorded_at.astimezone(ZoneInfo("America/Denver")),
        "recorded_at",
    ),
    "a day as text": (lambda row: row.weighed_on.isoformat(), "weighed_on"),
}


@pytest.mark.parametrize("what", SAME)
def test_the_same_value_in_another_coat_has_the_same_fingerprint(
    what: str, cast: Cast, now: datetime
) -> None:
    row = HorseWeight(
        horse=cast.horse,
        weight_kg=Decimal(480),
        entered_value=Decimal(480),
        entered_unit="kg",
        method="tape",
        weighed_on=now.date(),
        recorded_by=cast.owner,
        recorded_at=now,
    )
    before = row_seal(row)
    change, name = SAME[what]
    setattr(row, name, change(row))
    assert row_seal(row) == before
    assert isinstance(row, AppendOnly)


def test_a_column_of_a_later_version_leaves_older_fingerprints_as_they_are(
    full: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    word = AlertResponse.objects.filter(kind="seen").latest("pk")
    word.until_on = None
    with_it = row_seal(word)
    fields = [f for f in word._meta.concrete_fields if f.attname != "until_on"]
    monkeypatch.setattr(word._meta, "concrete_fields", fields)
    assert row_seal(word) == with_it


def test_filling_in_a_column_of_a_later_version_is_found(full: Stage, now: datetime) -> None:
    word = AlertResponse.objects.filter(kind="seen").latest("pk")
    word.until_on = None
    before = row_seal(word)
    word.until_on = now.date()
    assert row_seal(word) != before
