"""Written without a line at all, on pages from the shelf: kept, and sent when there is one again."""

from datetime import datetime

import pytest
from playwright.sync_api import expect

from horses.models import Flag, Note
from tests.browser.conftest import Open
from tests.browser.line import Line, Mode
from tests.browser.shelf import fetch_ahead, keep_opened, until_kept
from tests.browser.test_drafts import here, waiting
from tests.browser.visitor import Visitor
from tests.cast import Cast


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


@pytest.fixture
def owner(enter: Open, cast: Cast, line: Line) -> Visitor:
    """Has looked at the board with a signal, so that its forms lie in the phone."""
    one = enter(cast.owner, by=line, looks=False)
    one.watch.lost_on_purpose = True
    keep_opened(one)
    for path in ("/me/waiting/", note_path(cast), flag_path(cast)):
        keep_opened(one, path)
    return one


def note_path(cast: Cast) -> str:
    return f"/cases/{cast.case.public_id}/notes/new/"


def flag_path(cast: Cast) -> str:
    return f"/cases/{cast.case.public_id}/flags/new/"


@pytest.mark.parametrize("mode", ["cut", "portal", "portal_leads_away", "killed"])
def test_two_notes_and_a_flag_from_kept_pages_are_sent_once_each(
    owner: Visitor, line: Line, cast: Cast, mode: Mode
) -> None:
    line.be(mode)
    for words in ("Quiet.", "Ate well."):
        owner.go(note_path(cast))
        owner.fill(body=words)
        owner.control("Save the note").click()
        expect(here(owner)).to_contain_text("Not sent yet")
    owner.go(flag_path(cast))
    owner.tick("urgent_signs", "in_sole")
    expect(owner.page.locator("[data-untold]")).to_contain_text("nobody has been told")
    owner.control("Write it down and tell the team").click()
    expect(here(owner)).to_contain_text("Nobody has been told")
    owner.go("/me/waiting/")
    owner.sees("Flag: Juniper", "Quiet.", "Ate well.")
    waiting(owner, 3)
    assert not Note.objects.exists()

    line.be("through")
    owner.until("window.drafts.now()")
    waiting(owner, 0)
    assert sorted(Note.objects.values_list("body", flat=True)) == ["Ate well.", "Quiet."]
    assert Flag.objects.count() == 1


def test_a_waiting_note_is_changed_without_a_line(owner: Visitor, line: Line, cast: Cast) -> None:
    line.cut()
    owner.go(note_path(cast))
    owner.fill(body="Quiet.")
    owner.control("Save the note").click()
    expect(here(owner)).to_be_visible()
    owner.go("/me/waiting/")
    owner.control("Change it").click()
    expect(owner.field("body")).to_have_value("Quiet.")
    owner.fill(body="Lame.")
    owner.control("Save the note").click()
    expect(here(owner)).to_be_visible()
    waiting(owner, 1)
    line.be("through")
    owner.go("/me/waiting/")
    owner.until("window.drafts.now()")
    assert Note.objects.get().body == "Lame."


def test_a_phone_restarted_without_a_line_still_has_what_waits(
    owner: Visitor, line: Line, cast: Cast
) -> None:
    line.cut()
    owner.go(note_path(cast))
    owner.fill(body="Quiet.")
    owner.control("Save the note").click()
    expect(here(owner)).to_be_visible()
    owner.page.close()
    owner.page = owner.context.new_page()
    owner.page.on("response", owner._note_status)
    owner.go("/me/waiting/")
    owner.sees("Note: Juniper", "Quiet.")
    line.be("through")
    owner.until("window.drafts.now()")
    assert Note.objects.count() == 1


def test_signing_out_empties_the_phone_of_pages_and_of_what_was_sent(
    owner: Visitor, cast: Cast
) -> None:
    fetch_ahead(owner)
    owner.press("Sign out", inside="footer")
    names = owner.page.evaluate("caches.keys()")
    assert [name for name in names if cast.owner.public_id in name] == []


def test_what_was_sent_from_the_phone_is_on_the_board_that_it_keeps(
    owner: Visitor, line: Line, cast: Cast
) -> None:
    board, other = f"/cases/{cast.case.public_id}/", f"/cases/{cast.concern.public_id}/"
    for path in (board, other):
        keep_opened(owner, path)
    line.cut()
    owner.go(note_path(cast))
    owner.fill(body="Quiet today.")
    owner.control("Save the note").click()
    expect(here(owner)).to_be_visible()
    owner.go("/me/waiting/")
    line.be("through")
    asked = len(line.asked)
    owner.until("window.drafts.now()")
    until_kept(owner, board, "Quiet today.")
    assert f"GET {other} HTTP/1.1" not in line.asked[asked:], "nothing was changed there"
    line.cut()
    owner.go(board)
    expect(owner.page.locator("[data-as-of]")).to_be_visible()
    owner.sees("Quiet today.")
