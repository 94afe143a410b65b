"""What changed on the board while a phone had no line: both sides are shown, and nothing is dropped.

Here the line itself is cut and the pages come from the shelf; the phone's clock is right or three
hours wrong, whichever way.
"""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import expect

from horses.models import Agreement, HistoryLine, Note, Person, PlanItem, Visit
from horses.services.plan import plan_item_propose, plan_item_revise
from horses.services.team import member_remove
from tests import build
from tests.browser.conftest import Open
from tests.browser.letters import code_for
from tests.browser.line import Line
from tests.browser.shelf import keep_opened
from tests.browser.test_drafts import BARE, here, stale, waiting
from tests.browser.visitor import Visitor
from tests.cast import Cast
from tests.horses.doors import shut

WRONG = [timedelta(0), timedelta(hours=3), -timedelta(hours=3)]
HOW_WRONG = ["clock right", "three hours fast", "three hours slow"]
clocks = pytest.mark.parametrize("wrong", WRONG, ids=HOW_WRONG)


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


@pytest.fixture
def away(enter: Open, cast: Cast, line: Line) -> Callable[..., Visitor]:
    """Somebody who has these pages in the phone, and no line any more."""

    def leave(who: Person, *paths: str, at: datetime | None = None) -> Visitor:
        one = enter(who, by=line, looks=False)
        one.watch.lost_on_purpose = True
        if at is not None:
            one.page.clock.set_fixed_time(at)
        keep_opened(one)
        for path in ("/me/waiting/", *paths):
            keep_opened(one, path)
        line.cut()
        return one

    return leave


def home(cast: Cast) -> str:
    return f"/cases/{cast.case.public_id}/"


def write_note(who: Visitor, cast: Cast, words: str) -> None:
    who.go(home(cast) + "notes/new/")
    who.fill(body=words)
    who.control("Save the note").click()
    expect(here(who)).to_contain_text("Not sent yet")


def back(who: Visitor, line: Line) -> None:
    """A line again, and the list of what waits."""
    line.be("through")
    who.go("/me/waiting/")
    who.until("window.drafts.now().then(() => true)")


@clocks
def test_two_who_write_up_the_same_visit_see_both_whatever_the_clock_says(
    away: Callable[..., Visitor], line: Line, cast: Cast, now: datetime, wrong: timedelta
) -> None:
    farrier = away(cast.farrier, home(cast) + "visits/new/", at=now + wrong)
    farrier.go(home(cast) + "visits/new/")
    farrier.fill(words="Fronts reset.")
    farrier.control("Save the visit").click()
    expect(here(farrier)).to_contain_text("Not sent yet")
    build.visit(cast.access(cast.stand_in), now, now.date(), work=BARE, words="Heels lowered.")
    back(farrier, line)
    farrier.sees("Needs you", "Fronts reset.")
    farrier.control("Look at both").click()
    farrier.sees("There is a visit of this day already, by Stina Standin", "“Heels lowered.”")
    expect(farrier.field("words")).to_have_value("Fronts reset.")
    assert Visit.objects.filter(status="kept").count() == 1


@clocks
def test_who_was_removed_while_away_reads_what_was_written_and_why_it_was_not_taken(
    away: Callable[..., Visitor], line: Line, cast: Cast, now: datetime, wrong: timedelta
) -> None:
    farrier = away(cast.stand_in, home(cast) + "notes/new/", at=now + wrong)
    write_note(farrier, cast, "Both heels long.")
    member = cast.case.memberships.get(person=cast.stand_in)
    member_remove(access=cast.access(cast.owner), membership_id=member.public_id, now=now)
    back(farrier, line)
    farrier.sees("Needs you", "not on this horse’s team any more", "Both heels long.")
    farrier.control("Look at both").click()
    farrier.sees("Nothing here", "What you wrote, Juniper", "Both heels long.")
    assert not Note.objects.exists()


@clocks
def test_a_case_closed_while_away_shows_that_and_what_was_written(
    away: Callable[..., Visitor], line: Line, cast: Cast, now: datetime, wrong: timedelta
) -> None:
    owner = away(cast.owner, home(cast) + "notes/new/", at=now + wrong)
    write_note(owner, cast, "Quiet today.")
    shut(cast.case, now)
    back(owner, line)
    owner.control("Look at both").click()
    owner.sees("This case is closed", "standing board", "What you wrote", "Quiet today.")
    assert not Note.objects.exists()


@pytest.fixture
def item(cast: Cast, now: datetime) -> PlanItem:
    return plan_item_propose(
        access=cast.access(cast.farrier), content=build.content(), client_key="", now=now
    )


@clocks
def test_an_answer_to_a_plan_item_changed_while_away_counts_for_neither_version(
    away: Callable[..., Visitor],
    line: Line,
    cast: Cast,
    item: PlanItem,
    now: datetime,
    wrong: timedelta,
) -> None:
    path = home(cast) + f"plan/{item.public_id}/"
    owner = away(cast.owner, path, at=now + wrong)
    owner.go(path)
    owner.control("Agree, for the owner").click()
    expect(here(owner)).to_contain_text("Not sent yet")
    plan_item_revise(
        access=cast.access(cast.farrier),
        item_id=item.public_id,
        seen_version=1,
        content=build.content("On sand only."),
        now=now,
    )
    back(owner, line)
    assert not Agreement.objects.filter(person=cast.owner).exists()
    owner.control("Look at both").click()
    owner.sees("What you were shown, version 1", "As it is now, version 2", "On sand only.")


def test_a_deed_that_needs_a_code_waits_with_the_version_that_was_on_the_screen(
    away: Callable[..., Visitor], line: Line, cast: Cast, now: datetime
) -> None:
    item = plan_item_propose(
        access=cast.access(cast.vet),
        content=build.content(therapeutic=True),
        client_key="",
        now=now,
    )
    path = home(cast) + f"plan/{item.public_id}/"
    owner = away(cast.owner, path)
    stale(cast, now)
    owner.go(path)
    owner.control("Agree, for the owner").click()
    expect(here(owner)).to_contain_text("Not sent yet")
    back(owner, line)
    owner.sees("Needs you", "a code from your mail")
    assert not Agreement.objects.filter(person=cast.owner).exists()
    owner.control("Look at both").click()
    owner.sees("Is it still you?")
    owner.fill(fresh_code=code_for(cast.owner.email))
    owner.press("Go on")
    word = Agreement.objects.get(person=cast.owner)
    assert word.content_hash == item.versions.get().content_hash
    waiting(owner, 0)


def said_of_the_note() -> dict[str, Any]:
    after: dict[str, Any] = HistoryLine.objects.filter(verb="note.written").latest("pk").after or {}
    return after


Hour = Callable[[float], datetime]


@pytest.fixture
def hour(now: datetime, monkeypatch: pytest.MonkeyPatch) -> Hour:
    """So many hours later, for the board."""

    def comes(hours: float) -> datetime:
        later = now + timedelta(hours=hours)
        monkeypatch.setattr("caseboard.lib.clock.now", lambda: later)
        return later

    return comes


def minutes_from(moment: datetime) -> float:
    """How far from it, as the history has it, the note was written."""
    written = datetime.fromisoformat(said_of_the_note()["written_in_phone"])
    return abs(written - moment) / timedelta(minutes=1)


@clocks
def test_how_long_ago_a_note_was_written_does_not_depend_on_the_phones_time_of_day(
    away: Callable[..., Visitor],
    line: Line,
    cast: Cast,
    now: datetime,
    hour: Hour,
    wrong: timedelta,
) -> None:
    owner = away(cast.owner, home(cast) + "notes/new/", at=now + wrong)
    write_note(owner, cast, "Quiet today.")
    owner.page.clock.set_fixed_time(hour(2) + wrong)
    back(owner, line)
    assert minutes_from(now) < 1


@pytest.mark.parametrize("wrong", WRONG[1:], ids=HOW_WRONG[1:])
def test_a_clock_put_right_before_sending_does_not_change_when_a_note_was_written(
    away: Callable[..., Visitor],
    line: Line,
    cast: Cast,
    now: datetime,
    hour: Hour,
    wrong: timedelta,
) -> None:
    owner = away(cast.owner, home(cast) + "notes/new/", at=now + wrong)
    write_note(owner, cast, "Quiet today.")
    owner.page.clock.set_fixed_time(hour(2))
    back(owner, line)
    assert minutes_from(now) < 1


def test_a_clock_put_right_before_writing_does_not_change_when_a_note_was_written(
    away: Callable[..., Visitor], line: Line, cast: Cast, now: datetime, hour: Hour
) -> None:
    owner = away(cast.owner, home(cast) + "notes/new/", at=now + timedelta(hours=3))
    owner.page.clock.set_fixed_time(now + timedelta(hours=1))
    write_note(owner, cast, "Quiet today.")
    owner.page.clock.set_fixed_time(hour(2))
    back(owner, line)
    assert minutes_from(now + timedelta(hours=1)) < 1


def test_where_nobody_can_tell_when_a_note_was_written_the_history_says_nothing(
    away: Callable[..., Visitor], line: Line, cast: Cast, now: datetime, hour: Hour
) -> None:
    """Three hours slow in the morning and right in the evening: four hours ago, or seven."""
    owner = away(cast.owner, home(cast) + "notes/new/", at=now - timedelta(hours=3))
    owner.page.clock.set_fixed_time(now + timedelta(hours=1))
    write_note(owner, cast, "Quiet today.")
    owner.page.clock.set_fixed_time(hour(8))
    back(owner, line)
    assert "written_in_phone" not in said_of_the_note()


@pytest.mark.parametrize(
    ("hours_at_writing", "words"),
    [
        (-3, "Written {0:%H:%M}. This phone’s clock said {1:%H:%M} then."),
        (1, "{1:%H:%M} by this phone’s clock, which was moved since."),
    ],
    ids=["told by the board's clock", "not to be told"],
)
def test_what_waits_says_by_whose_clock_it_was_written(
    away: Callable[..., Visitor],
    line: Line,
    cast: Cast,
    now: datetime,
    hour: Hour,
    hours_at_writing: int,
    words: str,
) -> None:
    """Three hours slow when the board was last heard of, and right by now."""
    said = now + timedelta(hours=hours_at_writing)
    farrier = away(cast.stand_in, home(cast) + "notes/new/", at=now - timedelta(hours=3))
    farrier.page.clock.set_fixed_time(said)
    write_note(farrier, cast, "Both heels long.")
    member = cast.case.memberships.get(person=cast.stand_in)
    member_remove(access=cast.access(cast.owner), membership_id=member.public_id, now=now)
    farrier.page.clock.set_fixed_time(hour(8 if hours_at_writing > 0 else 2))
    back(farrier, line)
    item = farrier.page.locator("[data-draft-id]")
    expect(item).to_contain_text("Needs you")
    shown = re.sub(r"\b\w{3},? \d+ \w{3},? ", "", item.inner_text())
    assert words.format(now.astimezone(UTC), said.astimezone(UTC)) in shown


def test_an_urgent_flag_without_a_line_says_before_and_after_that_nobody_was_told_and_whom_to_ring(
    away: Callable[..., Visitor], cast: Cast
) -> None:
    path = home(cast) + "flags/new/"
    owner = away(cast.owner, path)
    owner.go(path)
    owner.tick("urgent_signs", "in_sole")
    before = owner.page.locator("[data-call-now]")
    expect(before.locator("[data-untold]")).to_contain_text("nobody has been told")
    expect(before.locator("a.phone").first).to_have_attribute("href", "tel:0100999")
    owner.control("Write it down and tell the team").click()
    expect(here(owner).get_by_role("heading")).to_have_text("Nobody has been told")
    number = here(owner).locator("a.phone").first
    expect(number).to_have_attribute("href", "tel:0100999")
    expect(number).to_be_in_viewport()
    for path in ("/horses/", "/me/waiting/"):
        owner.go(path)
        expect(owner.page.locator("body")).to_contain_text("Nobody has been told")
        expect(owner.page.locator("a[href='tel:0100999']").first).to_be_in_viewport()
