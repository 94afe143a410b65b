"""How long an urgent notice takes while much else waits, against the same on an idle installation.

    uv run python -m tests.bench.urgent --embedded      one process on SQLite
    uv run python -m tests.bench.urgent                 web, workers, PostgreSQL and Redis

The several-process form needs PostgreSQL (BENCH_DATABASE_URL names a server; a database of its own
is made and dropped) and redis-server, and starts the worker that compose.yaml has. Somebody raises
flags that cannot wait, one every few seconds, while ordinary mails, sheets to draw and horses to
judge are queued. Seconds are counted from pressing Save, so that they hold the saving too, to the
answer, by when the notice stands in the app, and to each mail being taken by the mail server.
"""

import argparse
import json
import os
import re
import shutil
import signal
import statistics
import sys
import tempfile
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any

from tests.chaos.house import Browser, House
from tests.chaos.processes import wait_until
from tests.chaos.sink import Sink

HEARERS = ("vet", "farrier")
ORDINARY = "Ordinary"  # what the subjects of the load begin with


@dataclass(frozen=True)
class Load:
    """What is queued before the first flag is raised."""

    notices: int = 0  # ordinary events; two mails each
    sheets: int = 0  # each drawn for two sizes of paper
    judged: bool = False  # whether every horse waits to be judged, its limits not cached


@dataclass(frozen=True)
class Mail:
    at: float
    subject: str
    case: str


class TimedSink(Sink):
    """Keeps when it was given which mail, in the order in which they came."""

    def __init__(self) -> None:
        self.mails: list[Mail] = []
        super().__init__()

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        message = message_from_bytes(envelope.content, policy=policy.default)
        body = message.get_body()
        case = re.search(r"/cases/(\w+)/", body.get_content() if body else "")
        self.mails.append(Mail(time.monotonic(), str(message["Subject"]), case[1] if case else ""))
        return await super().handle_DATA(server, session, envelope)


def urgent(
    folder: Path, server_url: str, load: Load, *, flags: int, every_s: float, settle_s: float = 120
) -> dict[str, Any]:
    """Raises the flags and says what became of their notices."""
    sink = TimedSink()
    with House(folder, server_url, sink) as house:
        visits = "8" if load.judged else "0"
        people = house.tell(
            "tests.chaos.people",
            f"--horses={flags}",
            f"--visits={visits}",
            f"--sheets={min(load.sheets, flags)}",
        )
        queued = house.tell("tests.bench.urgent_queue", f"--events={load.notices}")
        port = _start(house, several=bool(server_url))
        if load.notices:  # the first of them are going out when the first flag is raised
            assert wait_until(lambda: bool(sink.mails), 60), folder
        raised = [_raise(house, sink, people, port, n, every_s) for n in range(flags)]
        wanted = flags * len(HEARERS)
        came = wait_until(lambda: len(_urgent(sink)) >= wanted, settle_s)
        mails = list(sink.mails)
        left = house.tell("tests.chaos.count")["work_left"]
    found = [_seen(one, mails) for one in raised]
    return {
        "queued": {"mails": queued["mails"], "sheets_and_judgings": people["waiting"]},
        "urgent_mails": f"{len([m for m in mails if _is_urgent(m)])} of {wanted}",
        "all_came": came,
        "in_the_app_at_the_answer": sum(one["in_app"] for one in found),
        "save_s": spread([one["save"] for one in found]),
        "mail_s": spread([s for one in found for s in one["mails"]]),
        "ordinary_mails_before_one": max(one["overtaken"] for one in found),
        "ordinary_mails_gone_out": sum(m.subject.startswith(ORDINARY) for m in mails),
        "work_left_at_the_end": left,
        "load_of_the_machine": round(os.getloadavg()[0], 1),
    }


def _start(house: House, *, several: bool) -> int:
    if not several:
        return house.serve()
    house.worker("all", "all,sheets,notices", processes=3, clock=True)
    return house.web()


def _raise(
    house: House, sink: TimedSink, people: Any, port: int, number: int, every_s: float
) -> dict[str, Any]:
    owner, vet = (Browser(port, people["sessions"][role]) for role in ("owner", "vet"))
    case = people["cases"][number]  # of "Horse {number}"
    path = f"/cases/{case}/flags/new/"
    form = owner.form(path)
    began = time.monotonic()
    fields = {"urgent_signs": ["in_sole"], "feet": ["LF"], "since": "today", "words": "A nail."}
    status = owner.send(path, fields, form)
    answered, before = time.monotonic(), len(sink.mails)
    if status != 302:
        raise RuntimeError(f"the flag was answered with {status}, see {house.folder}")
    in_app = _in_app(vet, number)
    time.sleep(max(0.0, every_s - (time.monotonic() - began)))
    return {"case": case, "began": began, "answered": answered, "before": before, "in_app": in_app}


def _in_app(vet: Browser, number: int) -> bool:
    """Whether the urgent notice about this horse stands in the vet's list."""
    urgent = rf'>[^<]*\bHorse {number}\b[^<]*</a></h2>\s*<span class="cluster"><span [^>]*>Urgent<'
    return bool(re.search(urgent, vet.get("/notices/")[1]))


def _is_urgent(mail: Mail) -> bool:
    return mail.subject.startswith("Urgent")


def _urgent(sink: TimedSink) -> list[Mail]:
    return [mail for mail in list(sink.mails) if _is_urgent(mail)]


def _seen(one: dict[str, Any], mails: list[Mail]) -> dict[str, Any]:
    """Of one flag: how long its save and each of its mails took, and how many ordinary mails came
    between the answer and the first of its own."""
    mine = [n for n, m in enumerate(mails) if _is_urgent(m) and m.case == one["case"]]
    between = mails[one["before"] : min(mine, default=len(mails))]
    return {
        "in_app": one["in_app"],
        "save": one["answered"] - one["began"],
        "mails": [mails[n].at - one["began"] for n in mine],
        "overtaken": sum(m.subject.startswith(ORDINARY) for m in between),
    }


def spread(seconds: list[float]) -> dict[str, float]:
    if not seconds:
        return {"n": 0, "p50": 0.0, "p95": 0.0, "most": 0.0}
    ordered = sorted(seconds)
    p95 = ordered[min(len(ordered) - 1, int(len(ordered) * 0.95))]
    return {
        "n": len(ordered),
        "p50": round(statistics.median(ordered), 2),
        "p95": round(p95, 2),
        "most": round(ordered[-1], 2),
    }


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--embedded", action="store_true")
    parser.add_argument("--flags", type=int, default=20)
    parser.add_argument("--every", type=float, default=2.0, help="seconds from flag to flag")
    parser.add_argument("--events", type=int, default=600, help="ordinary ones; two mails each")
    parser.add_argument("--sheets", type=int, default=20)
    asked = parser.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("ended from outside"))  # and clean up
    server = (
        ""
        if asked.embedded
        else os.environ.get("BENCH_DATABASE_URL", "postgres://postgres@127.0.0.1")
    )
    found = {}
    loads = {"idle": Load(), "loaded": Load(asked.events, asked.sheets, judged=True)}
    for name, load in loads.items():
        folder = Path(tempfile.mkdtemp(prefix=f"urgent-{name}-"))
        found[name] = urgent(folder, server, load, flags=asked.flags, every_s=asked.every)
        print(json.dumps({name: found[name]}, indent=2), flush=True)
        shutil.rmtree(folder)
    ratio = {
        at: round(found["loaded"]["mail_s"][at] / (found["idle"]["mail_s"][at] or 1), 1)
        for at in ("p50", "p95")
    }
    print(f"{datetime.now(UTC):%Y-%m-%d}, {os.cpu_count()} cores; loaded to idle: {ratio}")
    if not all(one["all_came"] for one in found.values()):
        raise SystemExit("not every urgent mail came")


if __name__ == "__main__":
    main()
