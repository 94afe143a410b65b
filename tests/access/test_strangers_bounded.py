"""What somebody sends who is not signed in changes no more than a fixed number of rows.

Every open address, with made-up secrets and addresses, from ever new machines. Short in the suite,
where the bounds are made small so that they are reached; in full, with the true bounds, by

    CASEBOARD_STRANGERS=200000 uv run pytest -s -n 0 -p no:logging tests/access/test_strangers_bounded.py

(pytest would keep every line of the log, with its request).
"""

import os
import resource
from collections.abc import Iterator
from datetime import datetime
from itertools import count
from typing import Any

import pytest
from django.core.cache import caches
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, connection
from django.test import Client, RequestFactory
from django.urls import reverse

from caseboard.backup.tables import kept_models
from caseboard.lib import limits
from horses.accounts import session_store
from horses.accounts.services import code_mails, people
from horses.models import CodeMail, Counter, Job, Person, SignIn
from tests.access.table import OPEN_ROWS

pytestmark = pytest.mark.django_db
FULL = int(os.environ.get("CASEBOARD_STRANGERS", "0"))
SHORT = 25  # rounds; each asks every open address
MADE_UP = ("calendar_feed", "invitation", "sheet_verify")


@pytest.fixture
def bounds(monkeypatch: pytest.MonkeyPatch) -> dict[str, int]:
    if not FULL:
        monkeypatch.setattr(limits, "SLOTS", 8)
        monkeypatch.setattr(session_store, "MOST_STRANGERS", 10)
        monkeypatch.setattr(code_mails, "MOST_KEPT", 10)
        monkeypatch.setattr(people, "MOST_UNPROVEN", 6)
    scopes = 10  # kinds of counters that strangers reach, with room
    return {
        "counters": limits.SLOTS * scopes,
        "sessions": session_store.MOST_STRANGERS + 1,
        "mails": code_mails.MOST_KEPT,
        "accounts": people.MOST_UNPROVEN + 1,
    }


def requests() -> Iterator[tuple[str, str, dict[str, str]]]:
    """Method, address, fields: round by round, never the same secret or address twice."""
    for n in count():
        typed = {
            "email": f"p{n}@example.test",
            "name": f"N{n}",
            "code": "AAAA-AAAA",
            "credential": f"c{n}",
            "of": f"x{n}",
        }
        for name, methods in OPEN_ROWS.items():
            for method in ("GET", "POST"):
                if method in methods:
                    yield method, reverse(name), typed
        for name in MADE_UP:
            yield "GET", reverse(name, args=[f"{n:x}".rjust(64, "a")]), {}
        yield "GET", reverse("address_back", args=[f"{n}", "b" * 40]), {}
        yield "GET", f"/nowhere/{n}/", {}


def rows() -> dict[str, int]:
    return {model._meta.label: model._default_manager.count() for model in kept_models()}


@pytest.fixture
def line_kept_open() -> Iterator[None]:
    """A request gives its line to the database back; here it is the one that the test runs in."""
    ends = (request_started, request_finished)
    for end in ends:
        end.disconnect(close_old_connections)
    yield
    for end in ends:
        end.connect(close_old_connections)


class Site(WSGIHandler):
    """The whole of it behind its door, made once: each new test client loads all middleware."""

    def __init__(self) -> None:
        super().__init__()
        self.making = RequestFactory()

    def get_response(self, request: Any) -> Any:
        request._dont_enforce_csrf_checks = True  # as a stranger who has opened the form first
        return super().get_response(request)

    def ask(self, method: str, path: str, fields: dict[str, str], machine: str) -> int:
        make = self.making.get if method == "GET" else self.making.post
        environ = make(path, fields if method == "POST" else None, REMOTE_ADDR=machine).environ
        statuses: list[str] = []

        def start(status: str, _headers: Any, _trouble: Any = None, /) -> Any:
            statuses.append(status)

        answer = self(environ, start)
        b"".join(answer)
        answer.close()
        return int(statuses[0][:3])


def kept_bytes() -> int:
    """Of the database, with the cache that all processes share."""
    size = (
        "SELECT page_count * page_size FROM pragma_page_count(), pragma_page_size()"
        if connection.vendor == "sqlite"
        else "SELECT pg_database_size(current_database())"
    )
    with connection.cursor() as cursor:
        cursor.execute(size)
        return int(cursor.fetchone()[0])


def say(before: dict[str, int], size: int) -> None:
    """The figures of the full form, for whoever runs it with -s."""
    grown = {label: n - before[label] for label, n in rows().items() if n != before[label]}
    grown |= {"counters": Counter.objects.count(), "code mails": CodeMail.objects.count()}
    peak_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(f"\n{FULL} requests: rows {grown}, cached {cached()}, ", end="")
    print(f"database {kept_bytes() - size} bytes more, process at most {peak_kb} kB")


def cached() -> int:
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM shared_cache")
        return int(cursor.fetchone()[0])


@pytest.mark.usefixtures("line_kept_open")
def test_strangers_change_no_more_than_a_fixed_number_of_rows(
    bounds: dict[str, int], clock_stands: datetime, settings: Any
) -> None:
    caches["default"].clear()
    settings.READY_KEPT_S = 3600
    before, size, sent, site = rows(), kept_bytes(), requests(), Site()
    each = 2 * len(OPEN_ROWS) + len(MADE_UP) + 2
    for n in range(FULL or SHORT * each):
        method, path, fields = next(sent)
        status = site.ask(method, path, fields, f"10.{n >> 16 & 255}.{n >> 8 & 255}.{n & 255}")
        assert status < 500 or path == "/readyz", (method, path)
    if FULL:
        say(before, size)
    assert Counter.objects.count() <= bounds["counters"]
    assert SignIn.objects.filter(person=None).count() <= bounds["sessions"]
    assert CodeMail.objects.count() <= bounds["mails"]
    assert Job.objects.filter(kind="code.mail").count() <= bounds["mails"]
    assert Person.objects.filter(last_login=None).count() <= bounds["accounts"]
    assert cached() <= 1  # what /readyz leaves there
    of_strangers = {"horses.SignIn", "horses.Job", "horses.Person", "account.EmailAddress"}
    changed = {label for label, number in rows().items() if number != before[label]}
    assert changed <= of_strangers


def test_the_bounds_are_reached_in_the_short_form(
    bounds: dict[str, int], clock_stands: datetime
) -> None:
    """Or the test above would prove nothing."""
    if FULL:
        pytest.skip("the full form has the true bounds")
    for n in range(20):
        client = Client(REMOTE_ADDR=f"10.0.0.{n}")
        client.post(reverse("account_signup"), {"email": f"p{n}@example.test", "name": "N"})
    assert SignIn.objects.filter(person=None).count() in (
        bounds["sessions"] - 1,
        bounds["sessions"],
    )
    assert CodeMail.objects.count() == bounds["mails"]
    assert Person.objects.filter(name_unsure=True).count() == bounds["accounts"]


@pytest.mark.parametrize("name", MADE_UP[:2])
def test_a_made_up_secret_writes_nothing_at_all(
    name: str, db: None, django_assert_num_queries: Any
) -> None:
    """Looked up before it is counted: no row, and no wait for whoever writes."""
    path = reverse(name, args=["b" * 64])
    with django_assert_num_queries(1) as found:
        assert Client().get(path).status_code == 404
    assert found.captured_queries[0]["sql"].startswith("SELECT")
