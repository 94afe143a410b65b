"""The outbox: leases, workers that die, failures, and work wanted again."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection

from horses.jobs import outbox
from horses.jobs.lease import lease_renew
from horses.jobs.outbox import (
    BACKOFF,
    DEATHS,
    LEASE,
    NUMBERS,
    URGENT,
    Later,
    claim,
    enqueue,
    job_run,
    jobs_run_due,
)
from horses.models import Job

pytestmark = pytest.mark.django_db
SECOND = timedelta(seconds=1)


class Bench:
    """A kind of work that does what the test says, and remembers what it was asked."""

    def __init__(self) -> None:
        self.done: list[str] = []
        self.failing: dict[str, Exception] = {}
        self.during: dict[str, object] = {}

    def __call__(self, key: str, now: datetime) -> None:
        self.done.append(key)
        deed = self.during.get(key)
        if callable(deed):
            deed()
        if key in self.failing:
            raise self.failing[key]


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> Bench:
    made = Bench()
    monkeypatch.setitem(outbox._handlers, "test.kind", made)
    return made


def _row() -> Job:
    return Job.objects.get(kind="test.kind")


def test_work_is_done_once_and_then_gone(bench: Bench, now: datetime) -> None:
    enqueue("test.kind", "a", now=now)
    assert jobs_run_due(now=now) == 1
    assert bench.done == ["a"]
    assert not Job.objects.exists()


def test_wanted_twice_before_it_is_done_it_is_done_once(bench: Bench, now: datetime) -> None:
    for _ in range(3):
        enqueue("test.kind", "a", now=now)
    jobs_run_due(now=now)
    assert bench.done == ["a"]
    assert not Job.objects.exists()


def test_work_that_is_not_due_waits(bench: Bench, now: datetime) -> None:
    enqueue("test.kind", "a", now=now, due_at=now + SECOND)
    assert jobs_run_due(now=now) == 0
    assert jobs_run_due(now=now + SECOND) == 1


def test_the_oldest_due_work_comes_first(bench: Bench, now: datetime) -> None:
    for key, age in (("young", 1), ("old", 3), ("middle", 2)):
        enqueue("test.kind", key, now=now - age * SECOND)
    jobs_run_due(now=now)
    assert bench.done == ["old", "middle", "young"]


def test_what_is_urgent_comes_before_what_has_waited_longer(bench: Bench, now: datetime) -> None:
    enqueue("test.kind", "old", now=now - SECOND, rank=NUMBERS)
    enqueue("test.kind", "urgent", now=now, rank=URGENT)
    jobs_run_due(now=now)
    assert bench.done == ["urgent", "old"]


def test_a_second_worker_does_not_take_what_is_leased(bench: Bench, now: datetime) -> None:
    enqueue("test.kind", "a", now=now)
    assert claim(now=now) is not None
    assert claim(now=now) is None
    assert claim(now=now + LEASE) is None


def test_a_worker_that_looked_before_another_took_it_does_not_take_it_too(
    bench: Bench, now: datetime
) -> None:
    """The moment between looking and taking, made to happen each time."""
    enqueue("test.kind", "a", now=now)
    rivals: list[Job | None] = []

    def another_first(execute: Any, sql: str, *rest: Any) -> Any:
        if sql.startswith("UPDATE") and not rivals:
            rivals.append(None)  # its own update goes by here as well
            rivals[0] = claim(now=now)
        return execute(sql, *rest)

    with connection.execute_wrapper(another_first):
        mine = claim(now=now)
    assert rivals[0] is not None
    assert mine is None


def test_a_dead_workers_work_comes_back_within_ninety_seconds(bench: Bench, now: datetime) -> None:
    enqueue("test.kind", "a", now=now)
    claim(now=now)  # and the worker dies
    assert jobs_run_due(now=now + timedelta(seconds=90)) == 1
    assert bench.done == ["a"]


def taken_over(now: datetime) -> tuple[Job, Job]:
    """A job that one worker held too long and another has now: as each of them knows it."""
    enqueue("test.kind", "a", now=now)
    slow, other = claim(now=now), claim(now=now + LEASE + SECOND)
    assert slow is not None
    assert other is not None
    return slow, other


def test_a_worker_that_lost_its_lease_renews_nobody_elses(bench: Bench, now: datetime) -> None:
    slow, other = taken_over(now)
    assert not lease_renew(slow)
    assert _row().lease_until == other.lease_until
    assert lease_renew(other)


@pytest.mark.parametrize("fails", [True, False])
def test_a_worker_that_lost_its_lease_frees_nobody_elses(
    fails: bool, bench: Bench, now: datetime
) -> None:
    slow, other = taken_over(now)
    bench.failing |= {"a": RuntimeError("no")} if fails else {}
    bench.during["a"] = lambda: enqueue("test.kind", "a", now=now)  # so that it stays in any case
    job_run(slow, now=now)
    assert (_row().lease_until, _row().trouble) == (other.lease_until, "")


def test_a_job_that_each_worker_dies_of_is_set_aside(bench: Bench, now: datetime) -> None:
    enqueue("test.kind", "a", now=now)
    at = now
    for _ in range(DEATHS + 1):
        assert claim(now=at) is not None  # and the worker dies
        at += LEASE + SECOND
    assert claim(now=at) is None
    assert (_row().set_aside_at, _row().attempts) == (at, DEATHS + 1)


def test_a_failure_is_kept_and_tried_later_and_later(bench: Bench, now: datetime) -> None:
    bench.failing["a"] = RuntimeError("the mail server is away")
    enqueue("test.kind", "a", now=now)
    at = now
    for attempt, wait in enumerate(BACKOFF, start=1):
        assert jobs_run_due(now=at) == 1
        row = _row()
        assert (row.attempts, row.due_at, row.lease_until) == (
            attempt,
            at + timedelta(seconds=wait),
            None,
        )
        assert row.set_aside_at is None
        assert "the mail server is away" in row.trouble
        at = row.due_at
        assert jobs_run_due(now=at - SECOND) == 0


def test_after_the_last_try_it_is_set_aside_and_kept(bench: Bench, now: datetime) -> None:
    bench.failing["a"] = RuntimeError("no")
    enqueue("test.kind", "a", now=now)
    Job.objects.update(attempts=len(BACKOFF))
    jobs_run_due(now=now)
    assert _row().set_aside_at == now
    assert jobs_run_due(now=now + timedelta(days=30)) == 0


def test_what_is_set_aside_does_not_stop_the_rest(bench: Bench, now: datetime) -> None:
    bench.failing["bad"] = RuntimeError("no")
    enqueue("test.kind", "bad", now=now - SECOND)
    enqueue("test.kind", "good", now=now)
    jobs_run_due(now=now)
    assert bench.done == ["bad", "good"]


def test_a_handler_that_is_not_there_is_a_failure_like_another(now: datetime) -> None:
    enqueue("test.nobody", "a", now=now)
    assert jobs_run_due(now=now) == 1
    assert Job.objects.get().attempts == 1


def test_what_asks_for_later_is_never_set_aside(bench: Bench, now: datetime) -> None:
    bench.failing["a"] = Later("the horse is being judged")
    enqueue("test.kind", "a", now=now)
    Job.objects.update(attempts=50)
    jobs_run_due(now=now)
    assert _row().set_aside_at is None
    assert _row().due_at == now + timedelta(seconds=BACKOFF[-1])


def test_wanted_again_what_was_set_aside_is_tried_anew(bench: Bench, now: datetime) -> None:
    enqueue("test.kind", "a", now=now)
    Job.objects.update(set_aside_at=now, attempts=6)
    enqueue("test.kind", "a", now=now)
    assert jobs_run_due(now=now) == 1


def test_wanted_again_it_has_all_its_tries_before_it(bench: Bench, now: datetime) -> None:
    bench.failing["a"] = RuntimeError("no")
    enqueue("test.kind", "a", now=now)
    for _ in range(3):
        jobs_run_due(now=_row().due_at)
    assert _row().attempts == 3
    enqueue("test.kind", "a", now=now)
    assert _row().attempts == 0


def test_wanted_again_while_it_is_being_done_it_is_done_again(bench: Bench, now: datetime) -> None:
    enqueue("test.kind", "a", now=now)
    row = claim(now=now)
    assert row is not None
    bench.during["a"] = lambda: enqueue("test.kind", "a", now=now)
    job_run(row, now=now)
    bench.during.clear()
    assert jobs_run_due(now=now) == 1
    assert bench.done == ["a", "a"]
    assert not Job.objects.exists()


def test_wanted_again_during_its_last_failing_try_it_is_tried_anew(
    bench: Bench, now: datetime
) -> None:
    bench.failing["a"] = RuntimeError("no")
    enqueue("test.kind", "a", now=now)
    Job.objects.update(attempts=len(BACKOFF))
    row = claim(now=now)
    assert row is not None
    bench.during["a"] = lambda: enqueue("test.kind", "a", now=now)
    job_run(row, now=now)
    bench.failing.clear()
    bench.during.clear()
    assert _row().set_aside_at is None
    assert jobs_run_due(now=now) == 1


def test_a_round_ends_at_its_limit(bench: Bench, now: datetime) -> None:
    for key in "abc":
        enqueue("test.kind", key, now=now)
    assert jobs_run_due(now=now, limit=2) == 2
    assert Job.objects.count() == 1


def test_the_waker_is_called_after_the_commit_and_not_before(
    bench: Bench, now: datetime, django_capture_on_commit_callbacks: object
) -> None:
    woken: list[int] = []
    before = outbox._waker
    outbox.set_waker(lambda: woken.append(1))
    try:
        with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
            enqueue("test.kind", "a", now=now)
            assert woken == []
        assert woken == [1]
    finally:
        outbox.set_waker(before)
