"""What a person typed survives an error, a double tap, a lost connection and somebody else's edit."""

import re
from datetime import datetime
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Locator, expect

from horses.models import Flag, Person, Role
from tests.browser.conftest import PATIENCE_MS, Open
from tests.browser.visitor import DESKTOP, Visitor
from tests.cast import Cast, join

KEPT = "window.drafts.list().then((all) => all.length > 0)"
NOTHING_KEPT = "window.drafts.list().then((all) => all.length === 0)"
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


def test_a_form_too_many_waits_in_the_phone_and_is_sent_by_itself(
    enter: Open, cast: Cast, settings: Any
) -> None:
    settings.LIMIT_WRITES = 0
    owner = enter(cast.owner)
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.tick("since", "today")
    owner.fill(words=WORDS)
    owner.control("Write it down and tell the team").click()
    expect(offer(owner)).to_contain_text("the board takes nothing new just now")
    assert not Flag.objects.exists()
    settings.LIMIT_WRITES = 10
    owner.until("window.drafts.now()")
    expect(offer(owner)).to_contain_text("Sent")
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


def test_without_a_connection_it_waits_and_is_sent_when_there_is_one(
    enter: Open, cast: Cast
) -> None:
    owner = enter(cast.owner, looks=False)
    owner.watch.lost_on_purpose = True
    flag_form(owner, cast)
    owner.fill(words=WORDS)
    owner.context.set_offline(True)
    owner.control("Write it down and tell the team").click()
    expect(offer(owner)).to_contain_text("Not sent yet: no signal")
    expect(owner.page.get_by_role("link", name="1 waiting")).to_be_visible()
    owner.context.set_offline(False)
    expect(offer(owner)).to_contain_text("Written down.", timeout=PATIENCE_MS)
    assert Flag.objects.get().words == WORDS
    expect(owner.page.get_by_role("link", name="1 waiting")).to_have_count(0)


def test_what_was_lost_on_the_way_is_sent_from_the_next_page(enter: Open, cast: Cast) -> None:
    owner = enter(cast.owner)
    owner.watch.lost_on_purpose = True
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.fill(words=WORDS)
    owner.context.route(
        "**/*", lambda route: route.abort() if route.request.method == "POST" else route.continue_()
    )
    owner.control("Write it down and tell the team").click()
    expect(offer(owner)).to_contain_text("It is sent by itself when there is a signal")
    owner.look_over()
    assert not Flag.objects.exists()

    owner.context.unroute_all()
    owner.go("/me/waiting/")
    owner.sees("Nothing is waiting")
    assert Flag.objects.get().words == WORDS
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


def leaving(person: Visitor) -> Locator:
    return person.page.get_by_role("dialog", name="You typed something that was not sent")


def sign_out(person: Visitor) -> None:
    person.page.locator("footer").get_by_role("button", name="Sign out").click()


def signed_in_as(person: Visitor, other: Person, site: str) -> None:
    """Somebody else signs in at the same phone."""
    client = Client()
    client.force_login(other)
    name = settings.SESSION_COOKIE_NAME
    person.context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": site}])


@pytest.fixture
def half_a_flag(enter: Open, cast: Cast) -> Visitor:
    owner = enter(cast.owner, looks=False)
    flag_form(owner, cast)
    owner.fill(words=WORDS)
    return owner


def test_signing_out_asks_about_words_that_were_not_sent(half_a_flag: Visitor) -> None:
    sign_out(half_a_flag)  # at once: what is on the screen counts, kept or not yet
    box = leaving(half_a_flag)
    expect(box).to_contain_text("Something's not right · Juniper")
    half_a_flag.look_over()
    box.get_by_role("button", name="Stay signed in").click()
    expect(box).to_have_count(0)
    expect(half_a_flag.field("words")).to_have_value(WORDS)


def test_words_can_be_sent_before_signing_out(half_a_flag: Visitor, cast: Cast) -> None:
    half_a_flag.until(KEPT)
    half_a_flag.go("/me/")
    sign_out(half_a_flag)
    leaving(half_a_flag).get_by_role("link", name="Something's not right · Juniper").click()
    half_a_flag.control("Put it back").click()
    half_a_flag.press("Write it down and tell the team")
    assert Flag.objects.get().words == WORDS
    half_a_flag.press("Sign out", inside="footer")
    half_a_flag.until(NOTHING_KEPT)


def test_words_kept_at_signing_out_are_offered_to_who_wrote_them_and_to_nobody_else(
    half_a_flag: Visitor, cast: Cast, site: str
) -> None:
    sign_out(half_a_flag)
    with half_a_flag.page.expect_navigation(wait_until="load"):
        leaving(half_a_flag).get_by_role("button", name="Keep it for me").click()
    signed_in_as(half_a_flag, cast.carer, site)
    flag_form(half_a_flag, cast)
    expect(offer(half_a_flag)).to_have_count(0)
    half_a_flag.press("Sign out", inside="footer")  # and the next one is not asked about them
    signed_in_as(half_a_flag, cast.owner, site)
    flag_form(half_a_flag, cast)
    half_a_flag.control("Put it back").click()
    expect(half_a_flag.field("words")).to_have_value(WORDS)


def test_words_thrown_away_at_signing_out_are_gone_from_the_phone(half_a_flag: Visitor) -> None:
    sign_out(half_a_flag)
    with half_a_flag.page.expect_navigation(wait_until="load"):
        leaving(half_a_flag).get_by_role("button", name="Throw it away").click()
    half_a_flag.until(NOTHING_KEPT)


def test_signing_out_asks_nothing_when_all_was_put_back_as_it_was(half_a_flag: Visitor) -> None:
    half_a_flag.fill(words="")
    half_a_flag.press("Sign out", inside="footer")
    half_a_flag.until(NOTHING_KEPT)


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
