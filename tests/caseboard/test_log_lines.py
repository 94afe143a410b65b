"""The log of one click, from the page to the worker: whose it was, on which case, nobody's words."""

import json
import logging
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from io import StringIO
from typing import Any

import pytest
import structlog
from django.test import Client

from caseboard.celery import app
from caseboard.lib.logging.fields import processors
from caseboard.lib.logging.request_id import request_id
from horses.jobs import outbox
from horses.models import Flag, Horse, Job
from horses.rules import engine
from horses.rules.engine import Finding
from tests.cast import Cast

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
CANARY = "canary-7f3a-she-bites"
Lines = Callable[[], list[dict[str, Any]]]


@pytest.fixture
def lines() -> Iterator[Lines]:
    """All that the program logs meanwhile, as in production."""
    written = StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(structlog.stdlib.ProcessorFormatter(processors=processors(as_json=True)))
    root = logging.getLogger()
    level = root.level
    root.addHandler(handler)
    root.setLevel(logging.INFO)
    yield lambda: [json.loads(line) for line in written.getvalue().splitlines()]
    root.removeHandler(handler)
    root.setLevel(level)


def _fails(horse: Horse, now: datetime) -> Iterable[Finding]:
    raise RuntimeError("a rule that fails")


def _flag(cast: Cast) -> Any:
    client = Client(raise_request_exception=False)
    client.force_login(cast.owner)
    sent = {"signs": ["heat"], "feet": ["LF"], "since": "today", "words": CANARY}
    return client.post(f"/cases/{cast.case.public_id}/flags/new/", sent)


def test_the_work_of_a_click_is_logged_with_its_id(
    cast: Cast, drain: Callable[..., int], lines: Lines, monkeypatch: pytest.MonkeyPatch
) -> None:
    Job.objects.all().delete()
    monkeypatch.setattr(engine, "_rules", [_fails])
    answer = _flag(cast)
    assert answer.status_code == 302
    drain()
    told = [line for line in lines() if line["event"].startswith(("judge.", "work."))]
    assert {line["event"].split()[0] for line in told} == {"judge.rule_failed", "work.failed"}
    assert {line["request_id"] for line in told} == {answer["X-Request-ID"]}
    assert CANARY not in json.dumps(lines())


def test_a_page_that_fails_is_logged_with_who_and_where_and_no_words(
    cast: Cast, lines: Lines, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(words: str, **_: Any) -> None:
        try:
            int(words)
        except ValueError as error:
            raise OSError("the disk is full") from error

    monkeypatch.setattr("horses.views.flags.flag_raise_with_photos", fails)
    answer = _flag(cast)
    assert answer.status_code == 500
    (line,) = [line for line in lines() if line["level"] == "error"]
    assert line["request_id"] == answer["X-Request-ID"]
    assert (line["person"], line["case"]) == (cast.owner.public_id, cast.case.public_id)
    assert "the disk is full" in line["exception"]
    assert CANARY not in json.dumps(lines())


def test_a_page_that_fails_is_named_without_the_way_in_that_its_address_is(
    lines: Lines, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: Any, **__: Any) -> None:
        raise OSError("the disk is full")

    monkeypatch.setattr("horses.views.invitations.invitation_find", fails)
    client = Client(raise_request_exception=False)
    assert client.get("/invitations/a-way-in/").status_code == 500
    assert "a-way-in" not in json.dumps(lines())
    assert any("/invitations/<slug:token>/" in line["event"] for line in lines())


def test_work_that_fails_is_logged_without_the_words_it_failed_at(
    cast: Cast, drain: Callable[..., int], lines: Lines, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(horse: Horse, now: datetime) -> Iterable[Finding]:
        raise KeyError(Flag.objects.latest("pk").words)

    Job.objects.all().delete()
    monkeypatch.setattr(engine, "_rules", [fails])
    _flag(cast)
    drain()
    assert any(line["event"].startswith("work.failed") for line in lines())
    assert CANARY not in json.dumps(lines())


def test_a_worker_of_the_broker_logs_as_the_pages_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(app.log, "already_setup", False)
    before = logging.getLogger().handlers[:]
    app.log.setup_logging_subsystem(loglevel=logging.INFO)
    assert logging.getLogger().handlers == before


def test_a_mail_that_fails_is_logged_with_whose_it_is_and_no_words(
    cast: Cast, drain: Callable[..., int], lines: Lines, settings: Any
) -> None:
    Job.objects.all().delete()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    answer = _flag(cast)
    drain()
    told = [line for line in lines() if line["event"].startswith("work.failed kind=notice.mail")]
    assert told
    assert {line["request_id"] for line in told} == {answer["X-Request-ID"]}
    assert {line["work"] for line in told} == {"notice.mail"}
    assert CANARY not in json.dumps(lines())


def test_the_next_request_does_not_inherit_anything(cast: Cast, lines: Lines) -> None:
    _flag(cast)
    logging.getLogger("a_library").warning("outside of everything")
    (line,) = [line for line in lines() if line["event"] == "outside of everything"]
    assert not {"request_id", "person", "case", "work"} & line.keys()
    assert request_id() == ""


def test_work_asked_for_again_is_that_clicks(cast: Cast, now: datetime) -> None:
    for value in ("first", "second"):
        with outbox.request_id_bound(value):
            outbox.enqueue("horse.judge", cast.horse.public_id, now=now)
    assert Job.objects.get(kind="horse.judge", key=cast.horse.public_id).request_id == "second"
