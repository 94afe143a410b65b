"""The disk is full or the database takes nothing new: reading goes on, and a form says so."""

import errno
import re
from datetime import datetime
from html import unescape
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test import Client
from django.urls import reverse

from caseboard.http.not_saved import is_refused_write
from caseboard.sheets.render import Page
from horses.models import CaseSeen, Note, Notice, SignIn
from tests.access.people import People
from tests.access.table import (
    CASE_ROWS,
    OPEN_ROWS,
    OWN_ROWS,
    address,
    feed_address,
    invitation_address,
)
from tests.no_writes import no_writes
from tests.stage import Stage

pytestmark = pytest.mark.django_db
# On PostgreSQL an error ends the transaction: there each click has its own, as in the installation.
one_click_is_one_transaction = pytest.mark.django_db(transaction=connection.vendor != "sqlite")
WELL = (200, 302, 403, 404, 405)  # 403, 404: a page that this person may not have or see


def _status(client: Client, path: str) -> int:
    """In a savepoint of its own where all of the test is one transaction."""
    sid = transaction.savepoint() if connection.in_atomic_block else None
    answer = client.get(path)
    if answer.streaming:
        b"".join(answer)  # reading it to its end closes the file
    if sid is not None:
        connection.set_rollback(False)
        transaction.savepoint_rollback(sid)
    return answer.status_code


@pytest.fixture(autouse=True)
def _quick_pdf(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page(b"%PDF-1.7", ())
    monkeypatch.setattr("caseboard.views.sheet.sheet_page", lambda *args, **more: page)
    monkeypatch.setattr("caseboard.views.printouts.blank_pdf", lambda *args, **more: b"%PDF-1.7")
    monkeypatch.setattr("caseboard.views.printouts.round_pdf", lambda *args, **more: b"%PDF-1.7")
    monkeypatch.setattr("caseboard.views.printouts.card_pdf", lambda *args, **more: b"%PDF-1.7")


@pytest.fixture
def forgetful(stage: Stage) -> None:
    """Nothing was looked at yet, so that every page has something to write down."""
    cache.clear()
    CaseSeen.objects.all().delete()


def _long_unseen() -> None:
    SignIn.objects.update(last_seen_at=datetime.fromisoformat("2020-01-01T00:00:00+00:00"))


def _all_pages(stage: Stage, who: str, now: datetime) -> dict[str, str]:
    """Every address that can be looked at, from the table that the resolver is held against."""
    pages = {
        name: address(name, stage, who) for name, row in CASE_ROWS.items() if "GET" in row.methods
    }
    named = {**OWN_ROWS, **OPEN_ROWS}
    pages |= {name: reverse(name) for name, methods in named.items() if "GET" in methods}
    notice = Notice.objects.filter(person=stage.person(who), channel="app").first()
    if notice is not None:
        pages["notice"] = reverse("notice", args=[notice.public_id])
    pages["calendar_feed"] = feed_address(stage, now)
    pages["invitation"] = invitation_address(stage)
    pages["sheet_verify"] = reverse("sheet_verify", args=[stage.sheet.code])
    return pages


@one_click_is_one_transaction
@pytest.mark.parametrize("who", ["owner", "farrier", "vet", "carer"])
@pytest.mark.usefixtures("forgetful")
def test_every_page_can_be_read_while_nothing_can_be_written(
    who: str, stage: Stage, people: People, now: datetime
) -> None:
    pages = _all_pages(stage, who, now)
    client = people.client(who)
    client.raise_request_exception = False
    _long_unseen()
    with no_writes():
        found = {name: _status(client, path) for name, path in pages.items()}
    wrong = {
        name: status for name, status in found.items() if status not in WELL and name != "readyz"
    }
    assert wrong == {}
    assert sum(status == 200 for status in found.values()) > 20


@pytest.mark.usefixtures("forgetful")
def test_a_form_that_cannot_be_saved_keeps_what_was_typed_and_can_be_sent_again(
    stage: Stage, people: People
) -> None:
    client = people.client("vet")
    path = reverse("note_new", args=[stage.cast.case.public_id])
    typed = {
        "body": "Soft ground only.",
        "audience": "owner,farrier,vet,carer",
        "client_key": "once",
    }
    before = Note.objects.count()
    with no_writes():
        answer = client.post(path, typed)
        page = answer.content.decode()
    assert (answer.status_code, answer["Cache-Control"]) == (503, "private, no-store")
    assert int(answer["Retry-After"]) > 0
    assert "could not be saved" in page
    assert "kept in this phone" in page
    assert "Soft ground only." in re.sub(r'value="[^"]*"', "", page)  # to be read, not only carried
    held = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', page)
    again = {name: unescape(value) for name, value in held}
    assert typed.items() <= again.items()
    assert client.post(path, again).status_code == 302
    assert client.post(path, again).status_code == 302  # pressed twice
    assert Note.objects.count() == before + 1


def _forms(stage: Stage, who: str) -> dict[str, str]:
    pages = {
        name: address(name, stage, who) for name, row in CASE_ROWS.items() if "POST" in row.methods
    }
    named = {**OWN_ROWS, **OPEN_ROWS}
    return pages | {name: reverse(name) for name, methods in named.items() if "POST" in methods}


@one_click_is_one_transaction
@pytest.mark.parametrize("who", ["owner", "farrier", "vet"])
def test_no_form_breaks_while_nothing_can_be_written(
    who: str, stage: Stage, people: People
) -> None:
    """What was typed is wrong in most of them, which is said as always."""
    wrong = {}
    for name, path in _forms(stage, who).items():
        client = people.client(who)
        client.raise_request_exception = False
        data = dict(CASE_ROWS[name].data) if name in CASE_ROWS else {}
        with no_writes():
            status = client.post(path, data).status_code
        if status not in (200, 302, 403, 404, 409, 422, 429, 503):
            wrong[name] = status
    assert wrong == {}


def test_a_photo_for_which_the_disk_has_no_room_is_no_broken_page(
    stage: Stage, people: People, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A large file is written to the disk while it comes in."""

    def full(*_: Any, **__: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("django.core.files.uploadedfile.tempfile.NamedTemporaryFile", full)
    photo = SimpleUploadedFile("a.jpg", b"x" * 3_000_000, content_type="image/jpeg")
    answer = people.client("owner").post(address("flag_new", stage), {"photos": photo})
    assert answer.status_code == 503


def test_a_fault_of_the_programs_own_is_not_called_a_full_disk() -> None:
    with pytest.raises(DatabaseError) as caught, transaction.atomic():
        connection.cursor().execute("SELECT * FROM no_such_table")
    assert not is_refused_write(caught.value)
    assert not is_refused_write(IntegrityError())
