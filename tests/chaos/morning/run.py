"""One morning, two phones, a line that fails in five ways; what became of each entry.

uv run python -m tests.chaos.morning.run           200 entries, 50 cuts, prints the table
"""

import json
import logging
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from tests.browser.chrome import chromium_path
from tests.browser.line import Line, Mode
from tests.chaos.house import House
from tests.chaos.morning.entries import LONG, SHORT, Amounts, Entry, entries_of
from tests.chaos.morning.phone import Phone
from tests.chaos.morning.write import NotOpen, write
from tests.chaos.processes import Part, wait_until

KINDS = ("offline", "hangs", "taken, answer lost", "portal page", "server killed")
MODES: dict[str, tuple[Mode, ...]] = {
    "offline": ("cut",),
    "hangs": ("hangs",),
    "taken, answer lost": ("deaf", "mute"),
    "portal page": ("portal", "portal_leads_away"),
    "server killed": ("through",),  # what meets the requests is a port where nobody listens
}
log = logging.getLogger(__name__)
SECOND = """
self.addEventListener("message", (event) => {
  if (event.data?.type === "which") event.ports[0].postMessage("second");
});
"""


@dataclass(frozen=True)
class Plan:
    amounts: Amounts
    cuts: int
    restarts: int  # of each phone
    items_each: int
    seed: int = 16
    settle_s: float = 240


LONG_PLAN = Plan(LONG, cuts=50, restarts=4, items_each=7)
SHORT_PLAN = Plan(SHORT, cuts=5, restarts=1, items_each=1)


@dataclass
class Found:
    entries: list[Entry]
    counted: dict[str, dict[str, Any]] = field(default_factory=dict)
    cuts: Counter[str] = field(default_factory=Counter)
    error_pages: list[str] = field(default_factory=list)
    left: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    postponed: list[str] = field(default_factory=list)  # its page was not in the phone
    restarts: dict[str, int] = field(default_factory=dict)
    workers: dict[str, Any] = field(default_factory=dict)
    unheard: int = 0
    took_s: float = 0

    def wrong(self) -> list[str]:
        lines = [f"error page: {words}" for words in self.error_pages]
        for one in self.entries:
            times = self.counted[one.word]["times"]
            if times != 1 or not self.counted[one.word]["right"]:
                place = "" if self.counted[one.word]["right"] else ", in the wrong place"
                lines.append(f"{one.word} there {times} times{place}: {one.as_json()}")
        lines += [f"{who} still has {one}" for who, several in self.left.items() for one in several]
        lines += [
            f"{who} has the old worker: {is_}"
            for who, is_ in self.workers.items()
            if is_ != "second"
        ]
        return lines

    def table(self) -> str:
        rows = [
            f"{'kind of cut':20}{'cuts':>6}{'written':>9}{'lost':>6}{'doubled':>9}{'elsewhere':>11}"
        ]
        for kind in ("", *KINDS):
            of_it = [self.counted[one.word] for one in self.entries if one.during == kind]
            lost = sum(one["times"] == 0 for one in of_it)
            doubled = sum(one["times"] > 1 for one in of_it)
            wrong = sum(not one["right"] for one in of_it)
            name = kind or "(line whole)"
            rows.append(f"{name:20}{self.cuts[kind]:6}{len(of_it):9}{lost:6}{doubled:9}{wrong:11}")
        kinds = Counter(one.kind for one in self.entries)
        rows.append(", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items())))
        shown = Counter(re_first(one.shown) for one in self.entries)
        rows.append(
            "what the writer saw: " + ", ".join(f"{n} {k or 'nothing'}" for k, n in shown.items())
        )
        rows.append(
            f"error pages {len(self.error_pages)}, restarts {self.restarts}, answers lost on the way"
            f" {self.unheard}, pages not in the phone {len(self.postponed)}, {self.took_s:.0f} s"
        )
        return "\n".join(rows)


def re_first(words: str) -> str:
    return words.split(":", 1)[0]


def morning(plan: Plan, folder: Path, server_url: str) -> Found:
    """Raises RuntimeError where no Chromium is found."""
    chromium = chromium_path()
    if chromium is None:
        raise RuntimeError("no Chromium")
    with House(folder, server_url) as house:
        horses = plan.amounts.horses
        amounts = (horses.farriers, horses.noted, horses.owners, plan.items_each)
        found = house.tell("tests.chaos.morning.fill", *map(str, amounts))
        port = house.web() if server_url else house.serve()
        with sync_playwright() as playwright:
            day = Day(plan, house, port, found, folder)
            try:
                for who in ("owner", "farrier"):
                    day.wakes(
                        Phone(playwright, chromium, folder / who, who, Line("127.0.0.1", port))
                    )
                return day.lived()
            finally:
                for phone in day.phones.values():
                    phone.context.close()
                    phone.line.end()


class Day:
    def __init__(
        self, plan: Plan, house: House, port: int, found: dict[str, Any], folder: Path
    ) -> None:
        self.plan, self.house, self.port, self.given, self.folder = plan, house, port, found, folder
        self.chance = random.Random(plan.seed)
        self.phones: dict[str, Phone] = {}
        self.entries = entries_of(found, plan.amounts, self.chance)
        self.found = Found(self.entries)

    @property
    def server(self) -> Part:
        return self.house.parts[-1]

    def wakes(self, phone: Phone) -> None:
        """Breakfast, with a signal: the horses of the day are looked up."""
        self.phones[phone.name] = phone
        phone.sign_in("sessionid", self.given["sessions"][phone.name])
        phone.go("/horses/")
        phone.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        for case in sorted({one.case for one in self.entries if one.who == phone.name}):
            phone.go(f"/cases/{case}/")
            phone.fetch_ahead()

    def lived(self) -> Found:
        began = time.monotonic()
        cuts = [KINDS[number % len(KINDS)] for number in range(self.plan.cuts)]
        self.chance.shuffle(cuts)
        log.info("breakfast is over")
        restarts = self._spread(self.plan.restarts)
        todo = list(self.entries)
        for number, kind in enumerate(cuts):
            share = max(1, len(todo) // (len(cuts) - number))
            now, todo = todo[:share], todo[share:]
            if number == len(cuts) // 2:
                self._update_worker()
            end = self._cut(kind)
            self.found.cuts[kind] += 1
            for place, entry in enumerate(now):
                if place == len(now) - 1 and len(now) > 1:
                    end()
                    end = nothing
                    kind = ""
                todo += self._written(entry, kind)
                if place == 0:
                    for who in restarts.get(number, []):
                        self.phones[who].restart()
                        self.phones[who].go("/horses/")
            end()
        while todo:
            todo += self._written(todo.pop(0), "", last=True)
        self._ends(began)
        return self.found

    def _spread(self, each: int) -> dict[int, list[str]]:
        found: dict[int, list[str]] = {}
        for index, who in enumerate(self.phones):
            for one in range(each):
                number = (2 * one + 1) * self.plan.cuts // (2 * each) + index
                found.setdefault(min(number, self.plan.cuts - 1), []).append(who)
        return found

    def _written(self, entry: Entry, kind: str, *, last: bool = False) -> list[Entry]:
        """Those to be written later: the phone has no page for them now."""
        phone = self.phones[entry.who]
        entry.during = kind
        try:
            write(phone, entry)
            log.info("%s, %s: %s", entry.word, kind, entry.shown[:60])
        except NotOpen as why:
            self.found.postponed.append(f"{entry.word}, {kind}: {why}")
            log.info("%s, %s: not in the phone: %s", entry.word, kind, why)
            return [] if last else [entry]
        return []

    def _cut(self, kind: str) -> Any:
        """Begins a cut for both; what is returned ends it."""
        mode = self.chance.choice(MODES[kind])
        if kind == "server killed":
            self.server.kill()
        for phone in self.phones.values():
            if kind == "offline":
                phone.context.set_offline(True)
            phone.line.be(mode)

        def end() -> None:
            if kind == "server killed":
                self.server.start()
                if not wait_until(lambda: self.house.answers(self.port), 60):
                    raise RuntimeError("the server does not come back")
            for phone in self.phones.values():
                phone.line.be("through")
                phone.context.set_offline(False)

        return end

    def _update_worker(self) -> None:
        """From now on the site has another version of the worker's script."""
        for phone in self.phones.values():
            script = phone.page.evaluate("fetch('/worker.js').then((answer) => answer.text())")
            phone.line.instead["/worker.js"] = script + SECOND

    def _ends(self, began: float) -> None:
        found = self.found
        for who, phone in self.phones.items():
            found.left[who] = phone.send_all(self.plan.settle_s)
            found.error_pages += phone.error_pages
            found.restarts[who] = phone.restarts
            found.unheard += phone.line.unheard
            found.workers[who] = phone.worker_is()
        path = self.folder / "entries.json"
        path.write_text(json.dumps([one.as_json() for one in self.entries]))
        found.counted = self.house.tell("tests.chaos.morning.count", str(path))
        found.took_s = time.monotonic() - began


def nothing() -> None:
    """A cut that has ended already."""


def main() -> None:
    """`--short`: the form that runs with the other tests."""
    logging.basicConfig(format="%(asctime)s %(message)s")
    for one in (log, logging.getLogger("tests.chaos.morning")):
        one.setLevel(logging.INFO)
    folder = Path(tempfile.mkdtemp(prefix="morning-"))
    found = morning(SHORT_PLAN if "--short" in sys.argv else LONG_PLAN, folder, "")
    print(found.table())
    print("\n".join(found.postponed), file=sys.stderr)
    wrong = found.wrong()
    print("\n".join(wrong) or "nothing lost, nothing doubled, everything in its place")
    if not wrong:
        shutil.rmtree(folder)
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
