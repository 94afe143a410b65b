"""The forms of a case as each role's page offers them, and what sending one writes.

What is offered is read from the page itself: fields, and the values of those that offer some.

Decided 2026-11: what a page offers is what may be sent, read from each role's page, so that a new
field needs no row anywhere.
"""

import random
import re
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from typing import Any
from unittest.mock import patch

from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.access.table import CASE_ROWS

ANYTHING = ""  # among the values of a field: it is typed into
TEAM = "owner,farrier,vet,carer"
TYPED = "Typed by hand."
MEASURED = {"angle_method": "gauge", "length_method": "tape", "taken_on": "2026-11-02"}
# What a person would type; what a page offers or has filled in already is taken from the page.
FILL: dict[str, dict[str, Any]] = {
    "horse_edit": {"yard": "North"},
    "horse_move": {"to": "none", "seen": "//"},  # nobody goes with it and nobody comes
    "horse_sell": {
        "email": "someone.new@example.test",
        "leave_on": "2026-11-02",
        "vet_asked": "on",
    },
    "horse_state": {"state": "paused", "reason": TYPED},
    "owner_contact": {"act": "told"},
    "weight_new": {"weight": "480", "method": "tape"},
    "case_open": {"title": "Right hind", "why": TYPED},
    "case_close": {"outcome": "met", "words": TYPED},
    "invite": {"email": "someone.new@example.test", "role": "carer"},
    "hand_over": {"email": "someone.new@example.test", "goes": "now"},
    "flag_new": {"signs": "heat", "since": "today", "words": TYPED},
    "flag": {"kind": "answered", "words": TYPED, "audience": TEAM},
    "worksheet": {"way": "stay", "reason": TYPED},
    "lost_shoe": {"feet": "LH", "when": "today", "words": TYPED},
    "shoe_back": {"feet": "RH", "kind": "back", "words": TYPED},
    "picture_blank": {"reason": TYPED},
    "note_new": {"body": TYPED, "audience": TEAM},
    "exam_new": {"aaep": "2", "words": TYPED},
    "plan_new": {"kind": "home", "text": TYPED, "who_does": "owner", "reason": TYPED},
    "plan_item": {"decision": "decline", "reason": TYPED},
    "plan_change": {"text": "Softer ground still.", "reason": TYPED},
    "plan_finish": {"status": "withdrawn", "reason": TYPED},
    "interval": {"basis": "team", "weeks": "6", "why": TYPED},
    "stance_new": {"LF": "0", "words": TYPED},
    "visit_plan": {"quick": "day", "on": "2026-11-20", "words": TYPED},
    "visit_cancel": {"reason": TYPED},
    "visit_void": {"reason": TYPED},
    "visit_correct": {"words": TYPED, "reason": TYPED},
    "exam_correct": {"words": TYPED, "reason": TYPED},
    "exam_void": {"reason": TYPED},
    "was_here": {"words": TYPED},
    "report_back": {"reason": TYPED},
    "visit_new": {"words": TYPED, "LF-trimmed": "on", "LF-shoe": "none", "sure-again": "on"},
    "alert": {"kind": "answered", "words": TYPED},
    "readings_new": {**MEASURED, "trim_state": "between", "LF-toe_angle": "51"},
    "reading_correct": {"what": "value", "reason": TYPED},
    "target_new": {
        "foot": "LF",
        "quantity": "toe_angle",
        "moment": "after",
        "low": "50",
        "high": "54",
        "reason": TYPED,
        "from_on": "2026-11-02",
    },
    "steps": {"reason": TYPED},
}
FORMS = [n for n, row in CASE_ROWS.items() if {"GET", "POST"} <= set(row.methods.split())]
BUTTONS = [n for n, row in CASE_ROWS.items() if row.methods == "POST" and n != "flag_photos"]


class Offered(HTMLParser):
    """`values`: by field what it offers; `filled`: what the page has filled in or chosen."""

    def __init__(self, page: str, path: str) -> None:
        super().__init__()
        self.values: dict[str, set[str]] = {}
        self.filled: dict[str, str] = {}
        self._select, self._area = "", ""
        self._here = False  # inside a form that goes to the page itself
        self._path = path
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        got = {key: value or "" for key, value in attrs}
        if tag == "form":
            self._here = got.get("method") == "post" and got.get("action", self._path) == self._path
        name = got.get("name", "")
        if tag == "option" and self._select:
            self._offer(self._select, got.get("value", ""), chosen="selected" in got)
        elif not name or not (self._here or "form" in got) or name == "csrfmiddlewaretoken":
            return
        elif tag == "select":
            self._select = name
        elif tag in ("input", "button") and got.get("type") in ("radio", "checkbox", "submit"):
            self._offer(name, got.get("value", "on"), chosen="checked" in got)
        elif tag in ("input", "textarea") and got.get("type") != "file":
            self.values.setdefault(name, set()).add(ANYTHING)
            self._area = name if tag == "textarea" else ""
            if got.get("value"):
                self.filled[name] = got["value"]

    def handle_data(self, data: str) -> None:
        if self._area:
            words = (self.filled.get(self._area, "") + data).removeprefix("\n")
            self.filled |= {self._area: words} if words else {}

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = ""
        elif tag == "select":
            self._select = ""
        elif tag == "form":
            self._here = False

    def _offer(self, name: str, value: str, *, chosen: bool) -> None:
        self.values.setdefault(name, set()).add(value)
        if chosen:
            self.filled[name] = value

    def offers(self, name: str, value: str) -> bool:
        return name in self.values and bool({ANYTHING, value} & self.values[name])


def payload(name: str, page: Offered) -> dict[str, Any]:
    """The form as a person of that role would send it."""
    return {**page.filled, **FILL.get(name, {})}


NOT_OF_THE_CASE = re.compile(
    r'"(horses_signin|horses_counter|horses_codemail|shared_cache|django_\w+)"'
)
WRITES = ("INSERT", "UPDATE", "DELETE")
HASH = re.compile(r"\b[0-9a-f]{32,64}\b")
NUMBER = re.compile(r"\b\d+\b")


@contextmanager
def _the_same_chances() -> Iterator[None]:
    """Ids, codes and the id of the click are the same for every sending."""
    chance = random.Random(4)
    with (
        patch("secrets.choice", chance.choice),
        patch("secrets.randbelow", chance.randrange),
        patch("caseboard.http.middleware.new_request_id", lambda: "r" * 16),
    ):
        yield


def written(client: Client, path: str, data: dict[str, Any]) -> list[str]:
    """The statements that sending it writes with, in order; all of it is undone."""
    sid = transaction.savepoint()
    with _the_same_chances(), CaptureQueriesContext(connection) as found:
        status = client.post(path, data).status_code
    transaction.savepoint_rollback(sid)
    assert status < 500, (path, data)
    said = [query["sql"] for query in found.captured_queries]
    own = [sql for sql in said if sql.startswith(WRITES) and not NOT_OF_THE_CASE.search(sql)]
    if connection.vendor == "postgresql":  # its sequences are not undone
        own = [NUMBER.sub("#", HASH.sub("hash", sql)) for sql in own]
    return own
