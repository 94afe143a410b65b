import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import yaml
from celery.signals import beat_init

from caseboard import celery, tasks
from caseboard.processes import rounds, waking
from caseboard.processes.waking import wake
from caseboard.processes.worker import Worker, workers
from horses.jobs import outbox
from horses.jobs.outbox import NOTICES, NUMBERS, SHEETS, URGENT, enqueue, wake_workers
from horses.models import Job
from tests.caseboard.commands import ROOT, environment

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
            nightly=lambda: None,
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
    waking.wake_here()
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


@pytest.mark.django_db
def test_each_piece_of_work_is_that_of_one_thread_alone(
    monkeypatch: pytest.MonkeyPatch, now: datetime
) -> None:
    """Two threads that send mail would, killed together, leave two mails to be sent again."""
    two = workers()
    taken: list[list[str]] = []
    monkeypatch.setattr(outbox, "_handlers", {"a": lambda key, now: taken[-1].append(key)})
    for thread in two:
        for rank in (URGENT, NOTICES, SHEETS, NUMBERS):
            enqueue("a", str(rank), now=now, rank=rank)
        taken.append([])
        thread._drain()
        Job.objects.all().delete()
        wake.leave(thread._woken)
    rest, notices = taken
    assert rest == [str(SHEETS), str(NUMBERS)]
    assert notices == [str(URGENT), str(NOTICES)]


def test_without_a_broker_committed_work_wakes_the_worker_here(settings: Any) -> None:
    settings.CELERY_BROKER_URL = ""
    two = [wake.hear(), wake.hear()]
    waking.connect_waker()
    wake_workers()
    assert all(heard.is_set() for heard in two)  # none takes it from another
    for heard in two:
        wake.leave(heard)


class Broker:
    """Stands for the message queue: takes wake-ups, or refuses them while it is down."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.down = False
        self.asked: list[dict[str, Any]] = []
        monkeypatch.setattr(tasks.drain, "apply_async", self.apply_async)
        monkeypatch.setattr(tasks.drain_notices, "apply_async", self.apply_async)
        monkeypatch.setattr(tasks.drain_sheets, "apply_async", self.apply_async)
        monkeypatch.setattr(waking, "_quiet_until", 0.0)

    def apply_async(self, **options: Any) -> None:
        self.asked.append(options)
        if self.down:
            raise ConnectionError("refused")


@pytest.fixture
def broker(monkeypatch: pytest.MonkeyPatch) -> Broker:
    return Broker(monkeypatch)


def test_a_wake_message_is_tried_once_while_the_page_waits(broker: Broker) -> None:
    waking.wake_celery()
    assert broker.asked == [{"retry": False}] * 3  # the queues for notices, for sheets and for all


def test_a_broker_that_is_down_fails_no_page_and_holds_up_only_the_first(broker: Broker) -> None:
    broker.down = True
    waking.wake_celery()
    waking.wake_celery()
    assert len(broker.asked) == 1


def test_after_a_quiet_time_the_broker_is_tried_again(
    broker: Broker, monkeypatch: pytest.MonkeyPatch
) -> None:
    broker.down = True
    monkeypatch.setattr(waking, "QUIET_S", 0)
    waking.wake_celery()
    broker.down = False
    waking.wake_celery()
    assert len(broker.asked) == 4


def test_the_clocks_process_sweeps_and_drains_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[Worker] = []
    monkeypatch.setattr(Worker, "start", lambda made: started.append(made))
    beat_init.send(sender=None)
    beside, notices = started
    assert (beside._drain, beside._sweep) == (rounds.drain, rounds.sweep)
    assert (notices._drain, notices._drain_every_s) == (rounds.drain_notices, 1.0)


def test_a_worker_that_is_told_nothing_takes_every_queue() -> None:
    routed = {route["queue"] for route in celery.app.conf.task_routes.values()}
    known = set(celery.app.amqp.queues)
    assert known == {*routed, celery.app.conf.task_default_queue}


def test_two_clocks_in_one_folder_share_no_file() -> None:
    assert celery.app.conf.beat_scheduler == "celery.beat:Scheduler"


def test_compose_has_one_worker_with_its_clock() -> None:
    services = yaml.safe_load((ROOT / "compose.yaml").read_text())["services"]
    found = [made["command"] for made in services.values() if "celery" in made.get("command", "")]
    assert found == [["celery", "--app=caseboard", "worker", "--beat", "--loglevel=INFO"]]


def test_the_broker_sends_each_piece_of_work_by_the_clock(settings: Any) -> None:
    schedule = celery.app.conf.beat_schedule
    tasks_by_the_clock = {entry["task"] for entry in schedule.values()}
    assert tasks_by_the_clock == {
        "caseboard.drain",
        "caseboard.drain_notices",
        "caseboard.drain_sheets",
        "caseboard.judge_sweep",
        "caseboard.nightly",
        "caseboard.photos_look",
    }
    assert schedule["drain"]["schedule"] == settings.OUTBOX_SWEEP_SECONDS
    celery.app.loader.import_default_modules()
    assert tasks_by_the_clock <= set(celery.app.tasks)


def test_a_worker_can_be_started_from_the_command_line(tmp_path: Path) -> None:
    """Celery is given no settings module: ours must name it before it reads any."""
    done = subprocess.run(
        [sys.executable, "-m", "celery", "--app=caseboard", "report"],
        cwd=ROOT,
        env=environment(tmp_path, CELERY_BROKER_URL="redis://127.0.0.1:1/0"),
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    assert "caseboard" in done.stdout
