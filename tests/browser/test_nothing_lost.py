"""What a person typed survives an error, a double tap, a lost connection and somebody else's edit."""

import re
from datetime import datetime
from typing import Any

import pytest
from playwright.sync_api import Locator, expect

from horses.models import Flag, Role
from tests.browser.conftest import Open
from tests.browser.visitor import DESKTOP, Visitor
from tests.cast import Cast, join

KEPT = "Object.keys(localStorage).some((key) => key.startsWith('keep:'))"
WORDS = "Heat in the left fore since the ride."


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


def flag_form(person: Visitor, cast: Cast) -> None:
    person.go(f"/cases/{cast.case.public_id}/flags/new/")


def offer(person: Visitor) -> Locator:
    return person.page.get_by_role("region", name="Kept in this phone")


def test_a_form_with_a_mistake_keeps_what_was_typed_and_says_so_first(
    enter: Open, cast: Cast
) -> None:
    owner = enter(cast.owner)
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.tick("since", "day")
    owner.fill(words=WORDS)
    owner.press("Write it down and tell the team", status=422)
    expect(owner.page.locator("#form-errors")).to_be_focused()
    expect(owner.page.locator("#form-errors")).to_contain_text("Choose the day")
    expect(owner.field("words")).to_have_value(WORDS)
    expect(owner.page.locator("[name=signs][value=heat]")).to_be_checked()


def test_a_form_too_many_is_kept_on_the_page_that_says_so_and_sent_from_there(
    enter: Open, cast: Cast, settings: Any
) -> None:
    settings.LIMIT_WRITES = 0
    owner = enter(cast.owner)
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.tick("since", "today")
    owner.fill(words=WORDS)
    owner.press("Write it down and tell the team", status=429)
    owner.sees("A little slower, please", "ring your vet", WORDS)
    assert not Flag.objects.exists()
    settings.LIMIT_WRITES = 10
    owner.press("Send it again")
    assert Flag.objects.get().words == WORDS
    flag_form(owner, cast)
    expect(offer(owner)).to_have_count(0)


def test_a_double_tap_makes_one_flag(enter: Open, cast: Cast) -> None:
    owner = enter(cast.owner, looks=False)
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.control("Write it down and tell the team").dblclick()
    owner.page.wait_for_url(re.compile(rf"/cases/{cast.case.public_id}/$"))
    owner.sees("One foot warmer")
    assert Flag.objects.count() == 1


def test_without_a_connection_the_form_stays_and_says_so(enter: Open, cast: Cast) -> None:
    owner = enter(cast.owner, looks=False)
    owner.watch.lost_on_purpose = True
    flag_form(owner, cast)
    owner.fill(words=WORDS)
    owner.context.set_offline(True)
    owner.control("Write it down and tell the team").click()
    expect(owner.page.locator("#live")).to_contain_text("What you typed is kept in this phone")
    expect(owner.field("words")).to_have_value(WORDS)
    owner.context.set_offline(False)
    expect(owner.page.locator("#live")).to_contain_text("The connection is back")
    owner.press("Write it down and tell the team")
    assert Flag.objects.get().words == WORDS


def test_what_was_lost_on_the_way_is_offered_again(enter: Open, cast: Cast) -> None:
    owner = enter(cast.owner)
    owner.watch.lost_on_purpose = True
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.fill(words=WORDS)
    owner.context.route(
        "**/*", lambda route: route.abort() if route.request.method == "POST" else route.continue_()
    )
    owner.control("Write it down and tell the team").click()
    owner.page.wait_for_url("chrome-error://**")
    owner.context.unroute_all()
    assert not Flag.objects.exists()

    flag_form(owner, cast)
    expect(offer(owner)).to_contain_text("that was not saved")
    owner.look_over()
    owner.control("Put it back").click()
    expect(owner.field("words")).to_have_value(WORDS)
    expect(owner.page.locator("[name=signs][value=heat]")).to_be_checked()
    owner.press("Write it down and tell the team")
    flag_form(owner, cast)
    expect(offer(owner)).to_have_count(0)


def test_typed_words_are_offered_after_a_reload(enter: Open, cast: Cast) -> None:
    owner = enter(cast.owner, looks=False)
    flag_form(owner, cast)
    owner.fill(words=WORDS)
    owner.until(KEPT)
    owner.page.reload()
    expect(owner.field("words")).to_have_value("")
    owner.control("Put it back").click()
    expect(owner.field("words")).to_have_value(WORDS)


def test_kept_words_are_not_offered_to_the_next_person_at_that_phone(
    enter: Open, cast: Cast
) -> None:
    owner = enter(cast.owner, looks=False)
    flag_form(owner, cast)
    owner.fill(words=WORDS)
    owner.until(KEPT)
    owner.press("Sign out", inside="header")
    assert owner.page.evaluate("Object.keys(localStorage)") == []


def test_two_who_edit_the_horse_at_once_see_both_texts(
    enter: Open, cast: Cast, now: datetime
) -> None:
    join(cast.case, cast.stranger, Role.OWNER, now)
    one, two = enter(cast.owner, looks=False), enter(cast.stranger, size=DESKTOP)
    for person in (one, two):
        person.go(f"/cases/{cast.case.public_id}/horse/")
    one.fill(yard="Upper yard, box 3")
    one.press("Save")
    two.fill(yard="Lower yard, box 9")
    two.press("Save", status=409)
    both = two.page.locator("#form-errors")
    expect(both).to_be_focused()
    expect(both).to_contain_text("Upper yard, box 3")
    expect(both).to_contain_text("Lower yard, box 9")
    expect(two.field("yard")).to_have_value("Lower yard, box 9")
    two.press("Save")
    cast.horse.refresh_from_db()
    assert cast.horse.yard == "Lower yard, box 9"
