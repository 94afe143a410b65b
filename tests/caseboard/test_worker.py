import threading
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from caseboard import celery, tasks, worker
from caseboard.worker import Worker, wake
from horses.work import work_wake

LONG_S, SOON_S = 3600.0, 5.0


class Counter:
    """Work that counts its rounds, and can be waited for."""

    def __init__(self, trouble: Exception | None = None) -> None:
        self.rounds = 0
        self.trouble = trouble
        self._change = threading.Condition()

    def __call__(self) -> None:
        with self._change:
            self.rounds += 1
            self._change.notify_all()
        if self.trouble:
            raise self.trouble

    def reached(self, rounds: int) -> bool:
        with self._change:
            return self._change.wait_for(lambda: self.rounds >= rounds, timeout=SOON_S)


@pytest.fixture
def start() -> Iterator[Callable[..., Worker]]:
    started: list[Worker] = []

    def begin(drain: Counter, sweep: Counter, **every: float) -> Worker:
        made = Worker(
            drain=drain,
            sweep=sweep,
            **{"drain_every_s": LONG_S, "sweep_every_s": LONG_S, **every},
        )
        started.append(made)
        made.start()
        return made

    yield begin
    for made in started:
        made.stop()


def test_it_sweeps_and_drains_once_at_its_start(start: Any) -> None:
    drain, sweep = Counter(), Counter()
    start(drain, sweep)
    assert drain.reached(1)
    assert sweep.rounds == 1


def test_a_wake_makes_it_drain_at_once(start: Any) -> None:
    drain, sweep = Counter(), Counter()
    start(drain, sweep)
    assert drain.reached(1)
    celery.wake_here()
    assert drain.reached(2)
    assert sweep.rounds == 1


def test_it_drains_by_time_when_nobody_wakes_it(start: Any) -> None:
    drain = Counter()
    start(drain, Counter(), drain_every_s=0.02)
    assert drain.reached(4)


def test_it_sweeps_by_time(start: Any) -> None:
    sweep = Counter()
    start(Counter(), sweep, drain_every_s=0.02, sweep_every_s=0.02)
    assert sweep.reached(3)


def test_a_wake_during_a_round_starts_another(start: Any) -> None:
    sweep, drain = Counter(), Counter()
    woken = threading.Event()

    def drain_and_wake() -> None:
        if not woken.is_set():
            woken.set()
            wake.set()
        drain()

    start(drain_and_wake, sweep)
    assert drain.reached(2)


def test_a_round_that_fails_does_not_end_it(start: Any) -> None:
    drain = Counter(trouble=RuntimeError("one bad row"))
    start(drain, Counter(trouble=RuntimeError("one bad rule")))
    assert drain.reached(1)
    wake.set()
    assert drain.reached(2)


def test_it_stops_when_told_to(start: Any) -> None:
    drain = Counter()
    made = start(drain, Counter())
    assert drain.reached(1)
    assert made.stop()
    wake.set()
    assert drain.rounds <= 2


def test_without_a_broker_committed_work_wakes_the_worker_here(settings: Any) -> None:
    settings.CELERY_BROKER_URL = ""
    wake.clear()
    celery.connect_waker()
    work_wake()
    assert worker.wake.is_set()


def test_a_broker_that_is_down_does_not_fail_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_broker(**_: Any) -> None:
        raise ConnectionError("refused")

    monkeypatch.setattr(tasks.drain, "apply_async", no_broker)
    celery.wake_celery()


def test_a_wake_message_is_not_tried_again_and_again_while_the_page_waits(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sent: list[dict[str, Any]] = []
    monkeypatch.setattr(tasks.drain, "apply_async", lambda **options: sent.append(options))
    celery.wake_celery()
    assert sent == [{"retry": False}]


def test_the_broker_sends_both_pieces_of_work_by_the_clock(settings: Any) -> None:
    schedule = celery.app.conf.beat_schedule
    assert {entry["task"] for entry in schedule.values()} == {
        "caseboard.drain",
        "caseboard.judge_sweep",
    }
    assert schedule["drain"]["schedule"] == settings.OUTBOX_SWEEP_SECONDS
    celery.app.loader.import_default_modules()
    assert {"caseboard.drain", "caseboard.judge_sweep"} <= set(celery.app.tasks)
