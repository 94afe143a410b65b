"""The clock's work: each horse has a moment, a sweep reads what is due, trouble stops nobody else."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from horses.jobs.outbox import BACKOFF
from horses.models import Horse, HorseClock, Job
from horses.rules import engine
from horses.rules.engine import AT_LEAST_EVERY, evaluate, evaluate_due, evaluate_forgotten
from tests.cast import Cast

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
Drain = Callable[..., int]


@pytest.fixture
def cast(cast: Cast, now: datetime, drain: Drain) -> Cast:
    """With everything judged that the setting up asked for."""
    evaluate_due(now=now)
    drain()
    return cast


def moment_of(horse: Horse) -> datetime | None:
    return HorseClock.objects.get(horse=horse).due_at


def asked() -> set[str]:
    return set(Job.objects.filter(kind="horse.judge").values_list("key", flat=True))


def test_each_look_sets_the_moment_of_the_next(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "_dues", [lambda h, at: [at + DAY, at + HOUR, at - HOUR]])
    evaluate(cast.horse, now=now)
    assert moment_of(cast.horse) == now + HOUR


def test_without_anything_foreseen_it_is_looked_at_within_a_week(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "_dues", [])
    evaluate(cast.horse, now=now)
    assert moment_of(cast.horse) == now + AT_LEAST_EVERY


def test_the_sweep_asks_for_who_is_due_and_once(cast: Cast, now: datetime) -> None:
    HorseClock.objects.update(due_at=now + HOUR)
    HorseClock.objects.filter(horse=cast.horse).update(due_at=now)
    assert evaluate_due(now=now) == 1
    assert evaluate_due(now=now) == 0
    assert asked() == {cast.horse.public_id}


@pytest.mark.parametrize("state", ["paused", "ended"])
def test_a_horse_whose_care_rests_has_no_moment(state: str, cast: Cast, now: datetime) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(state=state)
    evaluate(cast.horse, now=now)
    assert moment_of(cast.horse) is None
    assert evaluate_forgotten(now=now) == 0


def _queries_of_a_sweep(now: datetime) -> int:
    with CaptureQueriesContext(
        connection,
    ) as seen:
        evaluate_due(now=now)
    return len(seen)


def test_a_sweep_costs_the_same_however_many_horses_are_not_due(cast: Cast, now: datetime) -> None:
    def estate(count: int) -> None:
        made = Horse.objects.bulk_create(
            Horse(name=f"Horse {n}", created_at=now) for n in range(count)
        )
        HorseClock.objects.bulk_create(HorseClock(horse=h, due_at=now + DAY) for h in made)

    HorseClock.objects.update(due_at=now + DAY)
    HorseClock.objects.filter(horse=cast.horse).update(due_at=now)
    few = _queries_of_a_sweep(now)
    estate(500)
    Job.objects.all().delete()
    HorseClock.objects.filter(horse=cast.horse).update(due_at=now)
    assert _queries_of_a_sweep(now) == few
    assert asked() == {cast.horse.public_id}


def test_a_sweep_finds_what_is_due_by_the_index(cast: Cast, now: datetime) -> None:
    due = HorseClock.objects.filter(due_at__lte=now).order_by("due_at")
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET LOCAL enable_seqscan = off")  # a few rows are read whole otherwise
        plan = due.values_list("pk").explain()
    assert "horse_clock_due" in plan


# -- one that fails ---------------------------------------------------------------------------
def _poisoned(horse: Horse, now: datetime) -> Iterator[Any]:
    if horse.name == "Juniper":
        raise RuntimeError("no such foot")
    yield from ()


def test_one_poisoned_horse_is_set_aside_and_the_rest_are_judged(
    cast: Cast, now: datetime, drain: Drain, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "_rules", [_poisoned])
    HorseClock.objects.update(due_at=now, judged_at=None)
    evaluate_due(now=now)
    at = now
    for wait in (0, *BACKOFF):
        at += timedelta(seconds=wait)
        drain(at)
        evaluate_due(now=at)  # does not give the poisoned one its tries anew
    row = Job.objects.get(kind="horse.judge")
    assert (row.key, row.set_aside_at) == (cast.horse.public_id, at)
    others = HorseClock.objects.exclude(horse=cast.horse)
    assert not others.filter(judged_at=None).exists()
    assert HorseClock.objects.get(horse=cast.horse).failing_since == now


def test_what_was_set_aside_is_tried_once_more_each_night_and_heals(
    cast: Cast, now: datetime, drain: Drain
) -> None:
    Job.objects.create(
        kind="horse.judge", key=cast.horse.public_id, due_at=now, created_at=now, set_aside_at=now
    )
    HorseClock.objects.filter(horse=cast.horse).update(failing_since=now, due_at=None)
    assert evaluate_forgotten(now=now) == 1
    drain()
    clock = HorseClock.objects.get(horse=cast.horse)
    assert (clock.failing_since, clock.judged_at) == (None, now)


def test_the_night_finds_horses_that_were_forgotten(cast: Cast, now: datetime) -> None:
    HorseClock.objects.filter(horse=cast.horse).delete()
    HorseClock.objects.exclude(horse=cast.horse).update(judged_at=now - AT_LEAST_EVERY - 2 * DAY)
    assert evaluate_forgotten(now=now) == 2
    assert len(asked()) == 2


def test_the_board_does_not_say_that_nothing_was_found_when_nobody_could_look(
    cast: Cast, now: datetime, clock_stands: datetime, client: Any
) -> None:
    HorseClock.objects.filter(horse=cast.horse).update(failing_since=now - DAY)
    client.force_login(cast.owner)
    page = client.get(f"/cases/{cast.case.public_id}/").content.decode()
    assert "could not be looked at since 1 Nov 2026" in page
    assert "Nothing found in the numbers" not in page
