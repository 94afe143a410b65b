"""What lies in a phone beside the pages for reading: whose words, for whom, until when."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from horses.models import Membership
from horses.services.notes import note_write
from tests import build
from tests.access.test_canaries import SCOPES
from tests.browser.conftest import Open, become
from tests.browser.line import Line
from tests.browser.shelf import cached, fetch_ahead, keep_opened
from tests.browser.test_drafts import BARE
from tests.browser.visitor import Visitor
from tests.cast import Cast

THEIRS, OWN = "Heels lowered by canary.", "Fronts reset."
# All that this origin keeps outside of its caches, as text.
STORED = """async () => {
  const found = [JSON.stringify({ ...localStorage }), JSON.stringify({ ...sessionStorage })];
  for (const { name } of await indexedDB.databases()) {
    const db = await idb.openDB(name);
    for (const store of db.objectStoreNames) found.push(JSON.stringify(await db.getAll(store)));
    db.close();
  }
  return found.join(" ");
}"""


def stored(one: Visitor) -> str:
    found: str = one.page.evaluate(STORED)
    return found


def holds(one: Visitor) -> str:
    return stored(one) + "".join(cached(one).values())


@pytest.fixture
def on_the_phone(enter: Open, line: Line) -> Callable[..., Visitor]:
    def opened(person: Any) -> Visitor:
        one = enter(person, by=line, looks=False)
        one.watch.lost_on_purpose = True
        keep_opened(one)
        one.until("navigator.serviceWorker.controller")
        return one

    return opened


def test_no_store_of_a_phone_holds_what_was_not_for_who_is_on_it_and_nothing_once_they_are_removed(
    on_the_phone: Callable[..., Visitor], cast: Cast, now: datetime
) -> None:
    """Four people one after another at the same phone, none of whom signed out; each is removed from
    the case in the end."""
    people = {"vet": cast.vet, "farrier": cast.farrier, "owner": cast.owner, "carer": cast.carer}
    words: dict[str, frozenset[str]] = {}
    for number, (writer, readers) in enumerate(SCOPES):
        word = f"canary{number:02}x{'-'.join(sorted(readers))}"
        words[word] = readers
        access = cast.access(people[writer], cast.concern)
        note_write(access=access, body=word, audience=readers, now=now)
    board = f"/cases/{cast.concern.public_id}/"
    phone = on_the_phone(cast.vet)
    for role, person in people.items():
        become(phone, person)
        phone.go(board)
        fetch_ahead(phone)
        found = holds(phone)
        assert [w for w, readers in words.items() if w in found and role not in readers] == []
        assert any(w in found for w, readers in words.items() if role in readers), role
        Membership.objects.filter(person=person, case=cast.concern).update(left_at=now)
        phone.go("/notices/")
        fetch_ahead(phone)
        found = holds(phone)
        assert [w for w in words if w in found] == [], role
        assert board not in found, role


@pytest.fixture
def asked_back(
    on_the_phone: Callable[..., Visitor], cast: Cast, line: Line, now: datetime
) -> Visitor:
    """A farrier whose visit waits, beside the page on which the board shows the other one."""
    farrier = on_the_phone(cast.farrier)
    path = f"/cases/{cast.case.public_id}/visits/new/"
    keep_opened(farrier, path)
    line.cut()
    farrier.go(path)
    farrier.fill(words=OWN)
    farrier.control("Save the visit").click()
    farrier.until("window.drafts.list().then((all) => all.some((one) => one.state === 'waiting'))")
    build.visit(cast.access(cast.stand_in), now, now.date(), work=BARE, words=THEIRS)
    line.be("through")
    farrier.go("/me/waiting/")
    farrier.sees("Needs you")
    assert THEIRS in stored(farrier)
    return farrier


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


GONE = "window.drafts.store.open().then((db) => db.getAll('drafts')).then((all) => all.every((one) => !one.last?.html))"


def test_the_boards_page_beside_a_draft_goes_when_another_is_signed_in(
    asked_back: Visitor, cast: Cast
) -> None:
    become(asked_back, cast.stranger)
    asked_back.go("/horses/")
    asked_back.until(GONE)
    assert THEIRS not in holds(asked_back)
    become(asked_back, cast.farrier)
    asked_back.go("/me/waiting/")
    asked_back.sees("Needs you", "Send it again to see what", OWN)
    asked_back.control("Send now").click()
    asked_back.control("Look at both").click()
    asked_back.sees(THEIRS)


def test_it_goes_at_the_next_contact_of_who_was_removed(
    asked_back: Visitor, cast: Cast, now: datetime
) -> None:
    Membership.objects.filter(person=cast.farrier).update(left_at=now)
    asked_back.go("/me/waiting/")
    fetch_ahead(asked_back)
    asked_back.until(GONE)
    assert THEIRS not in holds(asked_back)
    asked_back.sees(OWN)


def test_it_goes_after_two_weeks(asked_back: Visitor, line: Line) -> None:
    line.cut()
    later = asked_back.page.evaluate("Date.now()") + timedelta(days=14, hours=1) / timedelta(
        milliseconds=1
    )
    asked_back.page.clock.set_fixed_time(later / 1000)
    asked_back.go("/me/waiting/")
    asked_back.until(GONE)
    assert THEIRS not in stored(asked_back)
    asked_back.sees(OWN)
