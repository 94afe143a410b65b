"""Load and soak against real processes, on a generated estate. By hand, one part at a time:

    uv run python -m tests.bench.load soak    --state DIR [--database-url URL] --minutes 10
    uv run python -m tests.bench.load latency --state DIR [--database-url URL]
    uv run python -m tests.bench.load queries --state DIR [--database-url URL]

DIR keeps the installation's files; without --database-url its database is embedded and one process
serves it, else two web processes, a worker, the clock and a Redis of its own do. An estate of
`--horses` and `--readings` is built there when nobody is in the database yet, else what is there is
used (see tests/bench/estate.py). Prints JSON, and ends with what is not as it should be.
"""

import argparse
import json
import os
import statistics
import subprocess
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from tests.bench.load_client import Browser
from tests.bench.load_deeds import METHODS, Client, Shared
from tests.bench.load_servers import environment, prepared, site
from tests.chaos.processes import ROOT, python

WRITES = ("reading", "note", "flag", "visit", "agree")


def inside(what: str, env: dict[str, str], asked: dict[str, Any]) -> dict[str, Any]:
    done = subprocess.run(
        python("-m", "tests.bench.load_inside", what),
        cwd=ROOT,
        env=env,
        input=json.dumps(asked),
        capture_output=True,
        text=True,
        timeout=1200,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(done.stderr[-2000:])
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found


def soak(
    env: dict[str, str],
    *,
    clients: int,
    seconds: float,
    boards: int = 200,
    hot: int = 12,
    settle_s: float = 600,
) -> dict[str, Any]:
    """Reads and writes from many clients at once, then counts what became of it."""
    asked = inside("sessions", env, {"boards": boards})
    began = datetime.now(UTC)
    shared = Shared(asked["boards"], f"{began:%H%M%S}")
    days = [(began.date() - timedelta(days=n)).isoformat() for n in range(3)]
    over = threading.Event()
    with site(env) as served:
        crew = [Client(n, served.port, shared, days, hot) for n in range(clients)]
        threads = [threading.Thread(target=one.work, args=(over,)) for one in crew]
        for thread in threads:
            thread.start()
        over.wait(seconds)
        over.set()
        for thread in threads:
            thread.join()
        took = (datetime.now(UTC) - began).total_seconds()
        after = {"since": began.isoformat(), "acknowledged": shared.acknowledged}
        found = inside("check", served.env, {**after, "settle_s": settle_s})
        said = served.said()
    good = {"200", "302"}
    bad = {word: n for word, n in shared.statuses.items() if word.split()[-1] not in good}
    return {
        "clients": clients,
        "seconds": round(took),
        "load_of_the_machine": os.getloadavg()[1],
        "requests": shared.statuses.total(),
        "not_as_they_should_be": bad,
        "writes_not_answered_with_saved": sum(
            n
            for word, n in shared.statuses.items()
            if word.split()[0] in WRITES and "form" not in word and not word.endswith("302")
        ),
        "in_the_logs": said,
        **found,
        "ms": {kind: times(seconds) for kind, seconds in sorted(shared.seconds.items())},
    }


def times(seconds: list[float]) -> dict[str, float]:
    ordered = sorted(seconds)
    p95 = ordered[min(len(ordered) - 1, int(len(ordered) * 0.95))]
    return {
        "n": len(ordered),
        "median": round(statistics.median(ordered) * 1000, 1),
        "p95": round(p95 * 1000, 1),
    }


def wrong(found: dict[str, Any]) -> list[str]:
    """What a soak should have shown and has not."""
    checks = {
        "every answer as it should be": not found["not_as_they_should_be"],
        "nothing in the logs": not any(found["in_the_logs"].values()),
        "no acknowledged write lost": found["lost"] == 0,
        "no write there twice": found["there_without_a_word_or_twice"] == 0,
        "each form's key leads to its thing": found["keys_without_their_thing"] == 0,
        "each flag told once to each of the others": found["flags_not_told_to_all"] == 0,
        "history chains whole": found["broken_history_lines"] == 0,
        "all work done": found["work_left"] == found["work_set_aside"] == 0,
        "every kind of write done": all(found["acknowledged"].get(kind) for kind in WRITES),
    }
    return [name for name, true in checks.items() if not true]


def latency(env: dict[str, str], *, runs: int) -> dict[str, Any]:
    """How long each page takes one client alone, in times of a view that only answers."""
    asked = inside("sessions", env, {"boards": runs + 1})
    boards = asked["boards"]
    today = datetime.now(UTC).date().isoformat()
    shared = Shared(boards, "alone")
    with site(env) as served:
        for n, board in enumerate(boards):
            note = shared.note if n else (lambda *_: None)  # the first is warming up
            by = {role: Browser(served.port, key, note) for role, key in board["sessions"].items()}
            manager = Browser(served.port, asked["manager"], note)
            case = f"/cases/{board['case']}"
            by["owner"].get("livez", "/livez")
            by["owner"].get("board", f"{case}/")
            by["owner"].get("series", f"{case}/series/LF/toe_angle/")
            by["owner"].get("herd of 25", "/horses/")
            by["farrier"].get("herd of a round of 200", "/horses/")
            by["farrier"].get("round", "/round/")
            by["owner"].get("sheet", f"{case}/sheet/")
            by["owner"].get("sheet as PDF", f"{case}/sheet.pdf")
            if n < 8:
                manager.get("herd of everything", "/horses/")
            fields = {"kept_on": today, "words": f"alone {n}", "next_on": "", **METHODS}
            for foot in ("LF", "RF", "LH", "RH"):
                fields |= {
                    f"{foot}-trimmed": "on",
                    f"{foot}-toe_angle-after": "52",
                    f"{foot}-shoe": "reset" if board["shod"] else "none",
                }
            by["farrier"].send("visit", f"{case}/visits/new/", fields)
            for browser in (*by.values(), manager):
                browser.close()
    trivial = statistics.median(shared.seconds["livez"])
    return {
        "load_of_the_machine": os.getloadavg()[0],
        "answers": dict(shared.statuses),
        "ms": {
            kind: {**times(seconds), "livez": round(statistics.median(seconds) / trivial, 1)}
            for kind, seconds in sorted(shared.seconds.items())
        },
    }


def queries(env: dict[str, str]) -> dict[str, int]:
    return inside("pages", env, {})


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("part", choices=("soak", "latency", "queries"))
    parser.add_argument("--state", type=Path, required=True)
    parser.add_argument("--database-url", default="")
    parser.add_argument("--horses", type=int, default=40)
    parser.add_argument("--readings", type=int, default=4000)
    parser.add_argument("--clients", type=int, default=20)
    parser.add_argument("--minutes", type=float, default=1)
    parser.add_argument("--runs", type=int, default=20)
    asked = parser.parse_args()
    asked.state.mkdir(parents=True, exist_ok=True)
    env = environment(asked.state.resolve(), asked.database_url)
    began = time.monotonic()
    prepared(env, horses=asked.horses, readings=asked.readings)
    if asked.part == "queries":
        print(json.dumps(queries(env), indent=2))
    elif asked.part == "latency":
        print(json.dumps(latency(env, runs=asked.runs), indent=2))
    else:
        found = soak(env, clients=asked.clients, seconds=asked.minutes * 60)
        print(json.dumps(found, indent=2))
        if trouble := wrong(found):
            raise SystemExit(f"not as it should be: {', '.join(trouble)}")
        print(f"Nothing lost, after {time.monotonic() - began:.0f} s in all.")


if __name__ == "__main__":
    main()
