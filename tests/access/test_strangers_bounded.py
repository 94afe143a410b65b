"""What somebody sends who is not signed in changes no more than a fixed number of rows.

Every open address, with made-up secrets and addresses, from ever new machines. Short in the suite,
where the bounds are made small so that they are reached; in full, with the true bounds, by

    CASEBOARD_STRANGERS=200000 uv run pytest tests/access/test_strangers_bounded.py
"""

import os
from collections.abc import Iterator
from datetime import datetime
from itertools import count
from typing import Any

import pytest
from django.core.cache import caches
from django.db import connection
from django.test import Client
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
        typed = {"email": f"p{n}@example.test", "name": f"N{n}", "code": "AAAA-AAAA",
                 "credential": f"c{n}", "of": f"x{n}"}  # fmt: skip
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


def cached() -> int:
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM shared_cache")
        return int(cursor.fetchone()[0])


def test_strangers_change_no_more_than_a_fixed_number_of_rows(
    bounds: dict[str, int], clock_stands: datetime, settings: Any
) -> None:
    caches["default"].clear()
    settings.READY_KEPT_S = 3600
    before, sent = rows(), requests()
    each = 2 * len(OPEN_ROWS) + len(MADE_UP) + 2
    for n in range(FULL or SHORT * each):
        method, path, fields = next(sent)
        client = Client(REMOTE_ADDR=f"10.{n >> 16 & 255}.{n >> 8 & 255}.{n & 255}")
        client.raise_request_exception = False
        answer = client.get(path) if method == "GET" else client.post(path, fields)
        assert answer.status_code < 500 or path == "/readyz", (method, path)
    assert Counter.objects.count() <= bounds["counters"]
    assert SignIn.objects.filter(person=None).count() <= bounds["sessions"]
    assert CodeMail.objects.count() <= bounds["mails"]
    assert Job.objects.filter(kind="code.mail").count() <= bounds["mails"]
    assert Person.objects.filter(last_login=None).count() <= bounds["accounts"]
    assert cached() <= 1  # what /readyz leaves there
    of_strangers = {"horses.SignIn", "horses.Work", "horses.Person", "account.EmailAddress"}
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
