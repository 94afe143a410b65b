"""What a person sends is written down in the phone first, and accepted once, whatever the line does."""

import io
import re
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from PIL import Image
from playwright.sync_api import Locator, Route, expect

from horses.models import Agreement, Flag, Look, Note, PlanItem, Visit
from horses.services.plan import plan_item_propose, plan_item_revise
from horses.services.team import member_remove
from tests import build
from tests.browser.conftest import PATIENCE_MS, Open
from tests.browser.letters import code_for
from tests.browser.test_nothing_lost import WORDS, flag_form, leaving, sign_out, signed_in_as
from tests.browser.visitor import Visitor
from tests.cast import Cast
from tests.horses.doors import shut

COUNT = "window.drafts.list().then((all) => all.filter((one) => one.state !== 'typing').length)"


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


@pytest.fixture
def owner(enter: Open, cast: Cast) -> Visitor:
    one = enter(cast.owner, looks=False)
    one.watch.lost_on_purpose = True
    return one


def cut(person: Visitor, how: Callable[[Route], object] = lambda route: route.abort()) -> None:
    """Nothing that is sent gets through any more; pages do."""

    def decide(route: Route) -> None:
        sends = route.request.method == "POST" or "/me/waiting/sender/" in route.request.url
        how(route) if sends else route.continue_()

    person.context.route("**/*", decide)


def mend(person: Visitor) -> None:
    person.context.unroute_all()


def here(person: Visitor) -> Locator:
    return person.page.get_by_role("region", name="Kept in this phone")


def waiting(person: Visitor, count: int) -> None:
    """As many wait, and every page's head says so."""
    person.until(f"{COUNT}.then((many) => many === {count})")
    link = person.page.get_by_role("link", name=f"{count} waiting")
    expect(link).to_have_count(1 if count else 0)


def write_note(person: Visitor, cast: Cast, words: str = "Quiet today.") -> None:
    person.go(f"/cases/{cast.case.public_id}/notes/new/")
    person.fill(body=words)
    person.control("Save the note").click()


PORTAL = "<html><title>Barn wifi</title><body>Welcome. Accept the terms."


@pytest.mark.parametrize(
    "how",
    [
        lambda route: route.abort(),
        lambda route: route.fulfill(status=200, content_type="text/html", body=PORTAL),
        lambda route: route.fulfill(status=502, content_type="text/html", body="Bad gateway"),
        lambda route: (route.fetch(max_redirects=0), route.abort()),
    ],
    ids=["cut", "portal", "gateway", "taken, and the answer lost"],
)
def test_no_answer_is_never_an_error_page_and_nothing_is_lost_or_doubled(
    owner: Visitor, cast: Cast, how: Callable[[Route], object]
) -> None:
    cut(owner, how)
    write_note(owner, cast)
    expect(here(owner)).to_contain_text("Not sent yet")
    waiting(owner, 1)
    mend(owner)
    owner.until("window.drafts.now()")
    expect(here(owner)).to_contain_text("Sent")
    waiting(owner, 0)
    assert Note.objects.get().body == "Quiet today."


def test_a_line_that_hangs_lets_a_person_go_on(owner: Visitor, cast: Cast) -> None:
    cut(owner, lambda route: None)
    write_note(owner, cast)
    expect(here(owner)).to_contain_text("the line is slow", timeout=PATIENCE_MS)
    owner.leaves(here(owner).get_by_role("link", name="To the board").click)
    mend(owner)
    owner.until("window.drafts.now()")
    assert Note.objects.count() == 1


def test_an_urgent_flag_without_a_signal_says_that_nobody_was_told_and_whom_to_ring(
    owner: Visitor, cast: Cast
) -> None:
    cut(owner)
    flag_form(owner, cast)
    owner.tick("urgent_signs", "in_sole")
    owner.control("Write it down and tell the team").click()
    expect(here(owner).get_by_role("heading")).to_have_text("Nobody has been told")
    expect(owner.page.locator(".untold")).to_have_count(0)  # said once, and larger
    expect(here(owner).locator("a.phone").first).to_have_attribute("href", "tel:0100999")
    owner.look_over()
    owner.go("/horses/")
    strip = owner.page.get_by_role("region", name="Nobody has been told")
    expect(strip).to_contain_text("your urgent flag about Juniper is still in this phone")
    owner.look_over()
    sign_out(owner)  # over the strip lies the question
    expect(leaving(owner)).to_contain_text("Nobody has been told. Ring now.")
    expect(leaving(owner).locator("a.phone").first).to_have_attribute("href", "tel:0100999")
    owner.look_over()
    leaving(owner).get_by_role("button", name="Stay signed in").click()
    mend(owner)
    owner.until("window.drafts.now()")
    expect(strip).to_have_count(0)
    assert Flag.objects.get().urgency == "now"


def test_an_urgent_flag_that_waits_is_told_beside_what_is_written_after_it(
    owner: Visitor, cast: Cast
) -> None:
    cut(owner)
    flag_form(owner, cast)
    owner.tick("urgent_signs", "in_sole")
    owner.control("Write it down and tell the team").click()
    expect(here(owner).get_by_role("heading")).to_have_text("Nobody has been told")
    write_note(owner, cast)
    expect(here(owner).get_by_role("heading")).to_have_text("Not sent yet: no signal")
    strip = owner.page.get_by_role("region", name="Nobody has been told")
    expect(strip).to_contain_text("your urgent flag about Juniper is still in this phone")


def picture() -> dict[str, object]:
    made = io.BytesIO()
    Image.new("RGB", (640, 480), "brown").save(made, "JPEG")
    return {"name": "foot.jpg", "mimeType": "image/jpeg", "buffer": made.getvalue()}


def test_urgent_flags_are_sent_first_and_pictures_last(owner: Visitor, cast: Cast) -> None:
    cut(owner)
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.page.set_input_files("[name=photos]", picture())  # type: ignore[arg-type]
    owner.control("Write it down and tell the team").click()
    expect(here(owner)).to_be_visible()
    write_note(owner, cast)
    expect(here(owner)).to_be_visible()
    flag_form(owner, cast)
    owner.tick("urgent_signs", "in_sole")
    owner.control("Write it down and tell the team").click()
    expect(here(owner)).to_be_visible()
    waiting(owner, 3)

    mend(owner)
    sent: list[str] = []
    owner.page.on("request", lambda one: sent.append(one.url) if one.method == "POST" else None)
    owner.until("window.drafts.now()")
    kinds = [url.split("/cases/")[1].split("/", 1)[1] for url in sent]
    assert kinds[:3] == ["flags/new/", "flags/new/", "notes/new/"]
    assert kinds[3].endswith("/photos/")
    assert [flag.urgency for flag in Flag.objects.order_by("pk")] == ["now", "today"]
    assert Flag.objects.get(urgency="today").pictures.count() == 1
    waiting(owner, 0)


def test_a_phone_that_goes_dark_between_words_and_pictures_sends_the_pictures_once(
    owner: Visitor, cast: Cast
) -> None:
    cut(owner)
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.page.set_input_files("[name=photos]", picture())  # type: ignore[arg-type]
    owner.control("Write it down and tell the team").click()
    expect(here(owner)).to_be_visible()
    mend(owner)
    dark = "window.drafts.store.forget = () => Promise.reject(new Error('dark'))"
    owner.page.evaluate(f"() => {{ {dark}; }}")
    owner.page.evaluate("window.drafts.now()")
    owner.go("/me/waiting/")
    owner.until("window.drafts.now()")
    waiting(owner, 0)
    assert Flag.objects.get().pictures.count() == 1


def taken_unheard(route: Route) -> None:
    route.fetch(max_redirects=0)
    route.abort()


def test_pictures_follow_words_whose_acceptance_was_never_heard(owner: Visitor, cast: Cast) -> None:
    cut(owner, taken_unheard)
    flag_form(owner, cast)
    owner.tick("signs", "heat")
    owner.page.set_input_files("[name=photos]", picture())  # type: ignore[arg-type]
    owner.control("Write it down and tell the team").click()
    expect(here(owner)).to_contain_text("Not sent yet")
    assert Flag.objects.count() == 1
    mend(owner)
    owner.until("window.drafts.now()")
    waiting(owner, 0)
    assert Flag.objects.get().pictures.count() == 1


def test_who_was_removed_meanwhile_sees_both_sides_and_loses_no_word(
    enter: Open, cast: Cast, now: datetime
) -> None:
    farrier = enter(cast.stand_in, looks=False)
    farrier.watch.lost_on_purpose = True
    cut(farrier)
    write_note(farrier, cast, "Both heels long.")
    expect(here(farrier)).to_be_visible()
    member = cast.case.memberships.get(person=cast.stand_in)
    member_remove(access=cast.access(cast.owner), membership_id=member.public_id, now=now)
    mend(farrier)
    farrier.go("/me/waiting/")
    farrier.sees("Needs you", "not on this horse’s team any more", "Both heels long.")
    farrier.look_over()
    farrier.control("Look at both").click()
    farrier.sees("Nothing here", "What you wrote, Juniper", "Both heels long.")
    farrier.go("/me/waiting/")
    farrier.control("Throw it away").click()
    farrier.control("Yes, throw it away").click()
    farrier.sees("Nothing is waiting")
    assert not Note.objects.exists()


def test_a_case_closed_meanwhile_shows_both_sides(
    owner: Visitor, cast: Cast, now: datetime
) -> None:
    cut(owner)
    write_note(owner, cast)
    expect(here(owner)).to_be_visible()
    shut(cast.case, now)
    mend(owner)
    owner.go("/me/waiting/")
    owner.control("Look at both").click()
    owner.sees("This case is closed", "standing board", "What you wrote", "Quiet today.")


@pytest.fixture
def item(cast: Cast, now: datetime) -> PlanItem:
    return plan_item_propose(
        access=cast.access(cast.farrier), content=build.content(), client_key="", now=now
    )


def test_an_agreement_counts_for_the_version_on_the_screen_only(
    owner: Visitor, cast: Cast, item: PlanItem, now: datetime
) -> None:
    cut(owner)
    owner.go(f"/cases/{cast.case.public_id}/plan/{item.public_id}/")
    owner.control("Agree, for the owner").click()
    expect(here(owner)).to_contain_text("Not sent yet")
    plan_item_revise(
        access=cast.access(cast.farrier),
        item_id=item.public_id,
        seen_version=1,
        content=build.content("On sand only."),
        now=now,
    )
    mend(owner)
    owner.go("/me/waiting/")
    owner.sees("Agreement", "changed or saved meanwhile")
    assert not Agreement.objects.filter(person=cast.owner).exists()
    owner.control("Look at both").click()
    owner.sees("What you were shown, version 1", "As it is now, version 2", "On sand only.")
    owner.press("Agree, for the owner")
    assert Agreement.objects.get(person=cast.owner).version.number == 2
    waiting(owner, 0)


def test_a_deed_that_needs_a_fresh_code_waits_for_its_writer_and_goes_through_after_it(
    enter: Open, cast: Cast, now: datetime
) -> None:
    item = plan_item_propose(
        access=cast.access(cast.vet),
        content=build.content(therapeutic=True),
        client_key="",
        now=now,
    )
    owner = enter(cast.owner, looks=False)
    owner.watch.lost_on_purpose = True
    stale(cast, now)
    cut(owner)
    owner.go(f"/cases/{cast.case.public_id}/plan/{item.public_id}/")
    owner.control("Agree, for the owner").click()
    expect(here(owner)).to_be_visible()
    mend(owner)
    owner.go("/me/waiting/")
    owner.sees("Needs you", "a code from your mail")
    owner.control("Look at both").click()
    owner.sees("Is it still you?")
    owner.fill(fresh_code=code_for(cast.owner.email))
    owner.press("Go on")
    word = Agreement.objects.get(person=cast.owner)
    assert word.content_hash == item.versions.get().content_hash
    waiting(owner, 0)


def stale(cast: Cast, now: datetime) -> None:
    """Everybody's sign-in is an hour older than a careful deed allows."""
    from importlib import import_module

    from django.conf import settings

    from horses.accounts import reauthentication
    from horses.models import SignIn

    store = import_module(settings.SESSION_ENGINE).SessionStore
    for row in SignIn.objects.all():
        session = store(row.session_key)
        reauthentication.fresh_stamp(session, now - timedelta(days=2))
        session.save()


# -- the list


def test_a_draft_is_opened_changed_and_sent_once(owner: Visitor, cast: Cast) -> None:
    cut(owner)
    write_note(owner, cast)
    expect(here(owner)).to_be_visible()
    owner.page.get_by_role("link", name="1 waiting").click()
    owner.sees("Note: Juniper", "Quiet today.", "Waits for a signal")
    owner.look_over()
    owner.control("Change it").click()
    expect(owner.field("body")).to_have_value("Quiet today.")
    mend(owner)
    owner.until("window.drafts.now().then(() => true)")
    assert not Note.objects.exists(), "it is open"
    owner.fill(body="Lame on the circle.")
    owner.press("Save the note")
    assert Note.objects.get().body == "Lame on the circle."
    waiting(owner, 0)


def test_looks_without_a_signal_are_marked_and_taken_back_like_others(
    owner: Visitor, cast: Cast
) -> None:
    cut(owner)
    owner.go("/look/")
    tick = owner.page.get_by_role("button", name="Juniper: looked at, nothing seen")
    tick.click()
    expect(owner.page.locator(".look-list")).to_contain_text("in this phone, not sent yet")
    owner.look_over()
    owner.page.reload()
    expect(owner.page.locator(".look-list")).to_contain_text("in this phone, not sent yet")
    tick.click()
    waiting(owner, 0)
    tick.click()
    waiting(owner, 1)
    mend(owner)
    owner.until("window.drafts.now()")
    assert Look.objects.count() == 1


def test_a_phone_whose_clock_is_three_hours_wrong_tells_no_wrong_time(
    owner: Visitor, cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    owner.page.clock.install(time=now + timedelta(hours=3))
    cut(owner)
    owner.go("/look/")
    owner.page.get_by_role("button", name="Juniper: looked at, nothing seen").click()
    waiting(owner, 1)
    owner.page.clock.fast_forward(30 * 60 * 1000)
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now + timedelta(minutes=30))
    mend(owner)
    owner.until("window.drafts.now()")
    assert abs(Look.objects.get().looked_at - now) < timedelta(minutes=1)


# -- the store


def test_what_an_earlier_version_kept_is_taken_over_and_offered(owner: Visitor, cast: Cast) -> None:
    flag_form(owner, cast)
    whose = cast.owner.public_id
    key = f"keep:{whose}:flag-{cast.case.public_id}"
    owner.page.evaluate(
        """([key, path, words]) => localStorage.setItem(key, JSON.stringify({
            at: Date.now(), path, title: document.title, changed: true,
            values: [["client_key", "an-old-key"], ["signs", "heat"], ["words", words]]}))""",
        [key, f"/cases/{cast.case.public_id}/flags/new/", WORDS],
    )
    owner.page.reload()
    owner.control("Put it back").click()
    expect(owner.field("words")).to_have_value(WORDS)
    assert (
        owner.page.evaluate("Object.keys(localStorage).filter((k) => k.startsWith('keep:'))") == []
    )
    owner.press("Write it down and tell the team")
    assert Flag.objects.get().words == WORDS


def test_a_store_that_a_later_version_made_is_read_and_written(owner: Visitor, cast: Cast) -> None:
    cut(owner)
    write_note(owner, cast)
    expect(here(owner)).to_be_visible()
    owner.page.evaluate(
        """() => new Promise((made, failed) => {
            const asked = indexedDB.open("caseboard", 7);
            asked.onupgradeneeded = () => asked.result.createObjectStore("more");
            asked.onsuccess = () => { asked.result.close(); made(); };
            asked.onerror = failed;
        })"""
    )
    write_note(owner, cast, "Ate well.")
    expect(here(owner)).to_be_visible()
    mend(owner)
    owner.until("window.drafts.now()")
    assert Note.objects.count() == 2


REFUSES = (
    "IDBFactory.prototype.open = () => { throw new DOMException('not here', 'SecurityError'); };"
)


FULL = "IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); };"


@pytest.mark.parametrize("how", [REFUSES, FULL], ids=["private window", "full"])
def test_a_phone_that_keeps_nothing_says_so_before_anything_is_typed(
    owner: Visitor, cast: Cast, how: str
) -> None:
    owner.context.add_init_script(how)
    owner.go(f"/cases/{cast.case.public_id}/notes/new/")
    owner.sees("This phone keeps nothing of what you type")
    owner.look_over()
    cut(owner)
    owner.fill(body="Quiet today.")
    owner.control("Save the note").click()
    expect(owner.page.locator("#live")).to_contain_text("leave this page open")
    expect(owner.field("body")).to_have_value("Quiet today.")
    mend(owner)
    owner.press("Save the note")
    assert Note.objects.count() == 1


def test_two_notes_about_one_horse_are_told_apart_before_they_are_opened(
    owner: Visitor, cast: Cast
) -> None:
    cut(owner)
    for number, words in enumerate(("Quiet today.", "Left hay. " * 30), start=1):
        write_note(owner, cast, words)
        waiting(owner, number)
    owner.go("/me/waiting/")
    first, second = owner.page.locator("[data-draft-id] summary .first-words").all()
    expect(first).to_have_text("Quiet today.")
    expect(second).to_contain_text("Left hay.")
    box, line = second.bounding_box(), first.bounding_box()
    assert box is not None
    assert line is not None
    assert box["height"] == line["height"]  # one line, however long the words are
    owner.look_over()


def test_a_day_that_waits_is_read_as_the_board_writes_it(
    enter: Open, cast: Cast, now: datetime
) -> None:
    farrier = enter(cast.farrier, looks=False)
    farrier.watch.lost_on_purpose = True
    cut(farrier)
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    farrier.control("Save the visit", inside="body").click()
    waiting(farrier, 1)
    farrier.go("/me/waiting/")
    farrier.page.locator("summary", has_text="What you wrote").click()
    told = farrier.page.locator("[data-draft-id] dl")
    expect(told).to_contain_text(f"{now.day} {now:%b %Y}")
    expect(told).not_to_contain_text(f"{now:%Y-%m-%d}")


def test_the_phone_writes_a_moment_as_the_board_does_whatever_its_language(
    enter: Open, cast: Cast
) -> None:
    owner = enter(cast.owner, looks=False, locale="en-US")
    owner.watch.lost_on_purpose = True
    cut(owner)
    write_note(owner, cast)
    expect(here(owner)).to_contain_text(re.compile(r"at \d\d:\d\d\."))
    owner.go("/me/waiting/")
    expect(owner.page.locator("[data-draft-id]")).to_contain_text(
        re.compile(r"Written \w{3},? \d{1,2} \w{3,4},? \d\d:\d\d\.")
    )


# -- signing out


def test_signing_out_sends_what_waits_when_asked_to(owner: Visitor, cast: Cast) -> None:
    cut(owner)
    write_note(owner, cast)
    expect(here(owner)).to_be_visible()
    mend(owner)
    sign_out(owner)
    owner.leaves(leaving(owner).get_by_role("button", name="Send it now").click)
    assert Note.objects.count() == 1
    owner.until("window.drafts.store.open().then((db) => db.count('drafts')).then((many) => !many)")


def test_what_one_keeps_at_signing_out_is_never_sent_by_the_next_person(
    owner: Visitor, cast: Cast, site: str
) -> None:
    cut(owner)
    write_note(owner, cast)
    expect(here(owner)).to_be_visible()
    mend(owner)
    sign_out(owner)
    owner.leaves(leaving(owner).get_by_role("button", name="Keep it for me").click)
    signed_in_as(owner, cast.farrier, site)
    owner.go("/me/waiting/")
    owner.sees("Nothing is waiting")
    assert not Note.objects.exists()
    signed_in_as(owner, cast.owner, site)
    owner.go("/horses/")
    owner.until("window.drafts.now()")
    assert Note.objects.get().author == cast.owner


def test_without_a_signal_nobody_is_signed_out_and_no_error_page_shows(
    owner: Visitor, cast: Cast
) -> None:
    owner.go("/horses/")
    cut(owner)
    sign_out(owner)
    expect(owner.page.locator("#live")).to_contain_text("You are still signed in")


def test_two_who_write_up_the_same_visit_see_both(enter: Open, cast: Cast, now: datetime) -> None:
    farrier = enter(cast.farrier, looks=False)
    farrier.watch.lost_on_purpose = True
    farrier.go(f"/cases/{cast.case.public_id}/visits/new/")
    cut(farrier)
    farrier.fill(words="Fronts reset.")
    farrier.control("Save the visit").click()
    expect(here(farrier)).to_be_visible()
    build.visit(cast.access(cast.stand_in), now, now.date(), work=BARE, words="Heels lowered.")
    mend(farrier)
    farrier.go("/me/waiting/")
    farrier.sees("Needs you", "Fronts reset.")
    farrier.control("Look at both").click()
    farrier.sees("There is a visit of this day already, by Stina Standin", "“Heels lowered.”")
    expect(farrier.field("words")).to_have_value("Fronts reset.")
    farrier.page.locator("[name=sure-again]").check()
    farrier.press("Save the visit")
    assert Visit.objects.filter(status="kept").count() == 2
    waiting(farrier, 0)


BARE = [
    build.WorkDone(foot=foot, trimmed=True, shoeing_left="barefoot")
    for foot in ("LF", "RF", "LH", "RH")
]


def test_somebody_signed_out_meanwhile_signs_in_and_nothing_is_lost(
    owner: Visitor, cast: Cast, site: str
) -> None:
    owner.go(f"/cases/{cast.case.public_id}/notes/new/")
    owner.fill(body="Quiet today.")
    owner.context.clear_cookies()
    owner.control("Save the note").click()
    expect(here(owner)).to_contain_text("Not sent yet: you are signed out")
    expect(here(owner).get_by_role("link", name="Sign in to send it")).to_be_visible()
    signed_in_as(owner, cast.owner, site)
    owner.go("/me/waiting/")
    owner.until("window.drafts.now()")
    assert Note.objects.get().author == cast.owner
