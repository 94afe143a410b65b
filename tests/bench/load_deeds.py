"""What the clients of the soak do: read and write, several of them on the same few boards."""

import itertools
import threading
from collections import Counter, defaultdict, deque
from random import Random
from typing import Any

from tests.bench.load_client import Browser

# How often in a hundred; house default: more reading than writing, as on a yard's evening.
MIX = {
    "livez": 5,
    "board": 24,
    "series": 8,
    "herd": 6,
    "round": 4,
    "sheet": 3,
    "reading": 15,
    "note": 12,
    "visit": 8,
    "flag": 8,
    "agree": 7,
}
METHODS = {"angle_method": "gauge", "length_method": "tape"}


class Shared:
    """What all clients share: what there is to do, what was acknowledged, how long it took."""

    def __init__(self, boards: list[dict[str, Any]], run: str) -> None:
        self.boards, self.run = boards, run
        self.lock = threading.Lock()
        self.seconds: dict[str, list[float]] = defaultdict(list)
        self.statuses: Counter[str] = Counter()
        self.acknowledged: list[dict[str, str]] = []
        self._number = itertools.count(1)
        self.visits = deque((n, day) for day in range(3) for n in range(len(boards)))
        self.words = deque(
            (n, board["item"], role)
            for n, board in enumerate(boards)
            for role in board["waits_for"]
        )

    def note(self, kind: str, seconds: float, status: int) -> None:
        with self.lock:
            self.seconds[kind].append(seconds)
            self.statuses[f"{kind} {status}"] += 1

    def token(self) -> str:
        return f"load {self.run} {next(self._number)}"

    def took(self, **what: str) -> None:
        with self.lock:
            self.acknowledged.append(what)


class Client:
    """One of the people at the load; plays whichever role the deed needs."""

    def __init__(self, number: int, port: int, shared: Shared, days: list[str], hot: int) -> None:
        self.rng = Random(f"{shared.run} {number}")
        self.port, self.shared, self.days, self.hot = port, shared, days, hot
        self._browsers: dict[str, Browser] = {}

    def work(self, until: threading.Event) -> None:
        kinds, weights = list(MIX), list(MIX.values())
        while not until.is_set():
            kind = self.rng.choices(kinds, weights)[0]
            getattr(self, kind)()
        for browser in self._browsers.values():
            browser.close()

    def _as(self, board: dict[str, Any], role: str) -> Browser:
        session = board["sessions"][role]
        if session not in self._browsers:
            if len(self._browsers) >= 8:  # a server keeps so many connections open, and no more
                self._browsers.pop(next(iter(self._browsers))).close()
            self._browsers[session] = Browser(self.port, session, self.shared.note)
        return self._browsers[session]

    def _any(self) -> dict[str, Any]:
        """Every second time one of the few boards that all clients write on."""
        boards = self.shared.boards
        some = boards[: self.hot] if self.rng.random() < 0.5 else boards
        return self.rng.choice(some)

    def _role(self) -> str:
        return self.rng.choice(("owner", "farrier", "vet"))

    # -- reading

    def livez(self) -> None:
        self._as(self._any(), "owner").get("livez", "/livez")

    def board(self) -> None:
        board = self._any()
        self._as(board, self._role()).get("board", f"/cases/{board['case']}/")

    def series(self) -> None:
        board = self._any()
        self._as(board, self._role()).get("series", f"/cases/{board['case']}/series/LF/toe_angle/")

    def herd(self) -> None:
        self._as(self._any(), "owner").get("herd", "/horses/")

    def round(self) -> None:
        self._as(self._any(), "farrier").get("round", "/round/")

    def sheet(self) -> None:
        board = self._any()
        self._as(board, self._role()).get("sheet", f"/cases/{board['case']}/sheet/")

    # -- writing

    def reading(self) -> None:
        board = self._any()
        text = f"{self.rng.randrange(490, 550) / 10:g}"
        fields = {"taken_on": self.days[0], "trim_state": "between", "LF-toe_angle": text}
        sent = self._as(board, "farrier").send(
            "reading", f"/cases/{board['case']}/readings/new/", {**fields, **METHODS}
        )
        if sent:
            self.shared.took(kind="reading", case=board["case"], text=text, key=sent["client_key"])

    def note(self) -> None:
        board, words = self._any(), self.shared.token()
        audience = "owner,farrier,vet,carer"
        sent = self._as(board, self._role()).send(
            "note", f"/cases/{board['case']}/notes/new/", {"body": words, "audience": audience}
        )
        if sent:
            self.shared.took(kind="note", case=board["case"], text=words, key=sent["client_key"])

    def flag(self) -> None:
        board, words = self._any(), self.shared.token()
        fields = {"signs": "short_stride", "feet": "LF", "since": "today", "words": words}
        path = f"/cases/{board['case']}/flags/new/"
        sent = self._as(board, "owner").send("flag", path, fields)
        if sent:
            self.shared.took(kind="flag", case=board["case"], text=words, key=sent["client_key"])

    def visit(self) -> None:
        with self.shared.lock:
            place = self.shared.visits.popleft() if self.shared.visits else None
        if place is None:
            return
        board, words = self.shared.boards[place[0]], self.shared.token()
        fields = {"kept_on": self.days[place[1]], "words": words, "next_on": "", **METHODS}
        fields["sure-again"] = "on"  # another run may have written one of the same day
        for foot in ("LF", "RF", "LH", "RH"):
            fields |= {
                f"{foot}-trimmed": "on",
                f"{foot}-shoe": "reset" if board["shod"] else "none",
                f"{foot}-toe_angle-before": f"{self.rng.randrange(49, 53)}",
                f"{foot}-toe_angle-after": f"{self.rng.randrange(50, 54)}",
            }
        path = f"/cases/{board['case']}/visits/new/"
        sent = self._as(board, "farrier").send("visit", path, fields)
        if sent:
            self.shared.took(kind="visit", case=board["case"], text=words, key=sent["client_key"])

    def agree(self) -> None:
        with self.shared.lock:
            place = self.shared.words.popleft() if self.shared.words else None
        if place is None:
            return
        board, item, role = self.shared.boards[place[0]], place[1], place[2]
        path = f"/cases/{board['case']}/plan/{item}/"
        sent = self._as(board, role).send("agree", path, {"decision": "agree"})
        if sent:
            self.shared.took(kind="agree", case=board["case"], text=f"{item} {role}", key="")
