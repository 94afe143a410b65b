"""Kills workers and the broker while notices go out, and counts what arrived.

    uv run python -m tests.chaos.run                      100 kills, 20 of the broker, 2,000 notices
    uv run python -m tests.chaos.run --embedded           the one-process installation, 20 kills

The several-process form needs PostgreSQL (CHAOS_DATABASE_URL names a server; a database of its own
is made and dropped) and redis-server. Everything that is killed was started here.
"""

import argparse
import contextlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
from celery import Celery

from tests.chaos.processes import Part, free_port, python, run, wait_until
from tests.chaos.sink import Sink

HEARERS = 4
DATABASE = "caseboard_chaos"
NOT_PASSED_ON = ("CELERY_BROKER_URL", "DATABASE_URL", "EMAIL_URL", "REDIS_URL", "CASEBOARD_DEMO")


@dataclass(frozen=True)
class Plan:
    events: int
    kills: int
    broker_kills: int = 0
    seconds: float = 120.0  # the events are spread over this long
    lease_s: int = 60
    embedded: bool = False
    settle_s: float = 300.0


def chaos(plan: Plan, folder: Path, server_url: str) -> dict[str, Any]:
    """Runs the plan and returns the counts."""
    sink = Sink()
    env = {name: value for name, value in os.environ.items() if name not in NOT_PASSED_ON}
    env |= {
        "CASEBOARD_STATE_DIR": str(folder),
        "EMAIL_URL": sink.url,
        "OUTBOX_SWEEP_SECONDS": "2",
        "WORK_LEASE_SECONDS": str(plan.lease_s),
        "CASEBOARD_DEBUG": "0",
    }
    parts: list[Part] = []
    try:
        if plan.embedded:
            run(python("manage.py", "migrate", "-v", "0"), env)
            run(python("manage.py", "createcachetable"), env)
            worker = Part(
                python("manage.py", "serve", "--port", str(free_port())), env, folder / "serve.log"
            )
            parts = [worker]
            return _kill_and_count(plan, env, sink, folder, worker, None)
        port = free_port()
        env |= {
            "DATABASE_URL": f"{server_url}/{DATABASE}",
            "CELERY_BROKER_URL": f"redis://127.0.0.1:{port}/0",
            "REDIS_URL": f"redis://127.0.0.1:{port}/1",
        }
        _database(server_url, "CREATE")
        run(python("manage.py", "migrate", "-v", "0"), env)
        words = ["redis-server", "--port", str(port), "--save", "", "--dir", str(folder)]
        broker = Part(words, env, folder / "redis.log")
        worker = Part(
            python(
                "-m",
                "celery",
                "--app=caseboard",
                "worker",
                "--concurrency=2",
                "--queues=all,sheets,notices",
                "--without-gossip",
                "--without-mingle",
            ),
            env,
            folder / "worker.log",
        )
        parts = [broker, worker]
        return _kill_and_count(plan, env, sink, folder, worker, broker)
    finally:
        for part in parts:
            part.stop()
        sink.stop()
        if not plan.embedded:
            _database(server_url, "DROP")


def _database(server_url: str, verb: str) -> None:
    with psycopg.connect(f"{server_url}/postgres", autocommit=True) as server:
        server.execute(f"DROP DATABASE IF EXISTS {DATABASE} WITH (FORCE)")
        if verb == "CREATE":
            server.execute(f"CREATE DATABASE {DATABASE}")


def _kill_and_count(
    plan: Plan, env: dict[str, str], sink: Sink, folder: Path, worker: Part, broker: Part | None
) -> dict[str, Any]:
    began = time.monotonic()
    producer = Part(
        python(
            "-m",
            "tests.chaos.produce",
            "--events",
            str(plan.events),
            "--seconds",
            str(plan.seconds),
        ),
        env,
        folder / "produce.log",
    )
    done = {"whole": 0, "child": 0, "broker": 0}
    # The clock, without the draining that it does beside: the work is to be done by what is killed.
    ended = threading.Event()
    if broker:
        address = env["CELERY_BROKER_URL"]
        threading.Thread(target=_tick, args=(address, ended), daemon=True).start()
    try:
        for number in range(plan.kills):
            before = sink.total
            # Kills fall into work: after something has gone out since the last one.
            wait_until(lambda before=before: sink.total > before, 60, 0.01)
            time.sleep(random.uniform(0, 0.1))
            if plan.embedded or number % 5 == 0 or not worker.kill_a_child():
                worker.kill()
                worker.start()
                done["whole"] += 1
            else:
                done["child"] += 1
            if broker and done["broker"] * plan.kills < plan.broker_kills * (number + 1):
                broker.kill()
                broker.start()
                done["broker"] += 1
        expected = plan.events * HEARERS
        wait_until(lambda: not producer.alive, plan.settle_s)
        wait_until(lambda: len(sink.counts) >= expected, plan.settle_s)
        seen = _when_done(env, plan)
    finally:
        ended.set()
        producer.stop()
    ids = set(seen.pop("ids"))
    return {
        **seen,
        "expected": expected,
        "kills_of_the_whole_worker": done["whole"],
        "kills_of_the_process_at_work": done["child"],
        "kills_of_the_broker": done["broker"],
        "mail_lost": len(ids - set(sink.counts)) + expected - len(ids),
        "mail_unknown": len(set(sink.counts) - ids),
        "mail_twice_with_the_same_id": sink.counts.total() - len(sink.counts),
        "most_copies_of_one": max(sink.counts.values(), default=0),
        "seconds": round(time.monotonic() - began),
    }


def _when_done(env: dict[str, str], plan: Plan) -> dict[str, Any]:
    """What the database says, once the work of whoever was killed has been taken up again."""
    until = time.monotonic() + plan.lease_s + plan.settle_s
    while True:
        time.sleep(1)
        seen: dict[str, Any] = json.loads(
            run(python("-m", "tests.chaos.count"), env).splitlines()[-1]
        )
        if not seen["work_left"] or time.monotonic() > until:
            return seen


def _tick(address: str, ended: threading.Event) -> None:
    """Wakes the workers every second, as the clock does every half minute."""
    app = Celery(broker=address, broker_transport_options={"socket_connect_timeout": 1})
    while not ended.wait(1):
        with contextlib.suppress(Exception):  # the broker is being killed as well
            app.send_task("caseboard.drain", queue="all", retry=False)


def wrong(found: dict[str, Any]) -> list[str]:
    """What the counts should be and are not."""
    kills = found["kills_of_the_whole_worker"] + found["kills_of_the_process_at_work"]
    checks = {
        "in the app exactly": found["app"] == found["expected"],
        "nothing lost by mail": found["mail_lost"] == 0,
        "nothing of unknown origin": found["mail_unknown"] == 0,
        "at most one duplicate a kill": found["mail_twice_with_the_same_id"]
        <= kills + found["kills_of_the_broker"],
        "all noted as sent": found["sent"] == found["expected"],
        "no work left": found["work_left"] == 0,
    }
    return [name for name, true in checks.items() if not true]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--embedded", action="store_true")
    parser.add_argument("--kills", type=int)
    parser.add_argument("--events", type=int)
    parser.add_argument("--seconds", type=float)
    asked = parser.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("ended from outside"))  # and clean up
    plan = Plan(
        events=asked.events or 500,
        kills=asked.kills or (20 if asked.embedded else 100),
        broker_kills=0 if asked.embedded else 20,
        seconds=asked.seconds or (120 if asked.embedded else 300),
        embedded=asked.embedded,
    )
    server = os.environ.get("CHAOS_DATABASE_URL", "postgres://postgres@127.0.0.1")
    folder = Path(tempfile.mkdtemp(prefix="chaos-"))
    found = chaos(plan, folder, server)
    print(json.dumps(found, indent=2))
    if trouble := wrong(found):
        raise SystemExit(f"not as it should be: {', '.join(trouble)} (logs in {folder})")
    shutil.rmtree(folder)
    print("Nothing lost.")


if __name__ == "__main__":
    main()
