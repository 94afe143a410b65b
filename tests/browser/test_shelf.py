"""What a phone keeps for reading: there without a connection, "as of", and for its person alone."""

import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from PIL import Image
from playwright.sync_api import expect

from caseboard.lib import clock
from horses.models import CaseSeen, Membership, Person, SignIn, Visit
from horses.services.photos import flag_raise_with_photos
from horses.services.pictures import Shown, Taken, picture_blank, pictures_add
from horses.services.visit_planning import visit_plan
from tests.browser.conftest import Open
from tests.browser.line import PORTAL_WORDS, Line, Mode
from tests.browser.shelf import (
    DAY_MS,
    as_if_kept_before,
    cached,
    fetch_ahead,
    keep_opened,
    paths_kept,
    time_passes,
    until_kept,
    with_styles_of_old,
    worker_says,
)
from tests.browser.visitor import Visitor
from tests.cast import Cast
from tests.stage import photo
from tests.visit_boards import BOARDS, visit_board

AS_OF = re.compile(r"As of \d{1,2}:\d\d\.")


SPARE = "Object.defineProperty(navigator, 'connection', {value: {saveData: true}});"
THIN = "Object.defineProperty(navigator, 'connection', {value: {effectiveType: '2g'}});"


def on_the_phone(enter: Open, line: Line, person: Person, *, has: str = "") -> Visitor:
    """Signed in, and the worker looks after the page. `has`: a connection of that kind."""
    one = enter(person, by=line, looks=False)
    if has:
        one.context.add_init_script(has)
    one.watch.lost_on_purpose = True
    one.go("/horses/")
    one.until("navigator.serviceWorker.controller")
    return one


def as_of(one: Visitor) -> str:
    return one.page.locator("[data-as-of]").inner_text()


@pytest.fixture
def stop(cast: Cast, now: datetime) -> str:
    """The farrier comes tomorrow."""
    access = cast.access(cast.farrier, cast.case)
    visit_plan(access=access, on=now.date() + timedelta(days=1), now=now)
    return f"/cases/{cast.case.public_id}/"


def test_tomorrows_stop_is_there_without_a_connection(
    enter: Open, cast: Cast, line: Line, stop: str
) -> None:
    farrier = on_the_phone(enter, line, cast.farrier)
    fetch_ahead(farrier)
    line.cut()
    for path in ("/horses/", "/round/", "/round/?days=1", "/look/", stop):
        farrier.go(path)
        assert AS_OF.search(as_of(farrier)), path
        assert "No connection" in as_of(farrier)
    for form in ("visits/new/", "flags/new/", "notes/new/", "readings/new/", "feet/LF/"):
        farrier.go(stop + form)
        expect(farrier.page.get_by_role("heading", level=1)).to_be_visible()
        assert AS_OF.search(as_of(farrier)), form
    styled = "getComputedStyle(document.querySelector('.sitehead')).borderBottomStyle"
    assert farrier.page.evaluate(styled) == "solid"


def test_fetching_ahead_is_not_reading(enter: Open, cast: Cast, line: Line, stop: str) -> None:
    farrier = on_the_phone(enter, line, cast.farrier)
    fetch_ahead(farrier)
    assert stop in paths_kept(farrier)
    assert not CaseSeen.objects.filter(person=cast.farrier).exists()


def test_where_data_is_spared_only_the_stops_are_fetched(
    enter: Open, cast: Cast, line: Line, stop: str
) -> None:
    farrier = on_the_phone(enter, line, cast.farrier, has=SPARE)
    fetch_ahead(farrier, save_data=True)
    other = f"/cases/{cast.concern.public_id}/"  # his too, and no stop of the day
    assert stop in paths_kept(farrier)
    assert other not in paths_kept(farrier)
    fetch_ahead(farrier)
    assert other in paths_kept(farrier)


def test_on_a_thin_line_the_forms_of_the_horse_that_is_open_come_after_the_boards_of_the_stops(
    enter: Open, cast: Cast, line: Line, stop: str
) -> None:
    farrier = on_the_phone(enter, line, cast.farrier, has=THIN)
    opened = f"/cases/{cast.concern.public_id}/"
    farrier.go(opened)
    fetch_ahead(farrier, thin=True)
    assert {opened + form for form in ("notes/new/", "flags/new/")} <= paths_kept(farrier)
    asked = [one.split(" ")[1] for one in line.asked]
    assert asked.index(stop) < asked.index(opened + "notes/new/")


def test_of_more_than_it_keeps_what_is_only_looked_at_goes_first(
    enter: Open, cast: Cast, line: Line, stop: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from caseboard.views import pages

    small = pages.worker_script().replace("MOST_PAGES = 300", "MOST_PAGES = 13")
    monkeypatch.setattr(pages, "worker_script", lambda: small)
    farrier = on_the_phone(enter, line, cast.farrier)
    fetch_ahead(farrier)
    kept = paths_kept(farrier)
    assert len(kept) == 13
    assert {"/horses/", "/look/", "/round/", "/notices/", "/me/waiting/"} <= kept
    assert not [path for path in kept if "/feet/" in path]
    assert [path for path in kept if path.endswith("/new/")]


def test_a_page_that_was_opened_is_kept(enter: Open, cast: Cast, line: Line) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    path = f"/cases/{cast.case.public_id}/team/"
    keep_opened(owner, path)
    line.cut()
    owner.go(path)
    assert AS_OF.search(as_of(owner))


def test_what_opens_a_way_in_is_not_kept(enter: Open, cast: Cast, line: Line) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    for path in ("/me/", "/me/sign-in/", "/me/calendar/"):
        owner.go(path)
    keep_opened(owner)
    assert not [path for path in paths_kept(owner) if path.startswith("/me/")]


@pytest.mark.parametrize("mode", ["hangs", "half", "portal", "portal_leads_away", "killed"])
def test_a_bad_line_shows_the_kept_page_and_says_so(
    enter: Open, cast: Cast, line: Line, mode: Mode
) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner)
    kept = cached(owner)
    line.be(mode)
    owner.go("/horses/")
    assert AS_OF.search(as_of(owner))
    owner.sees(cast.horse.name)
    assert PORTAL_WORDS not in owner.page.content()
    assert not any("feed shop" in text for text in cached(owner).values())
    assert {name for name in kept if "/horses/" in name} <= set(cached(owner))
    line.be("through")
    owner.go("/horses/")
    expect(owner.page.locator("[data-as-of]")).to_have_count(0)


@pytest.mark.parametrize(
    ("mode", "words"),
    [("cut", "No connection"), ("portal", "Not the board"), ("killed", "is not answering")],
)
def test_a_page_that_is_not_kept_is_said_in_our_words(
    enter: Open, cast: Cast, line: Line, mode: Mode, words: str
) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner, f"/cases/{cast.case.public_id}/")
    line.be(mode)
    owner.go("/me/calendar/", status=503)
    owner.sees(words, "ring your vet", "Kept in this phone", cast.horse.name)
    assert PORTAL_WORDS not in owner.page.content()


def test_the_forms_of_a_horse_that_was_opened_are_there(
    enter: Open, cast: Cast, line: Line
) -> None:
    vet = on_the_phone(enter, line, cast.vet)
    home = f"/cases/{cast.concern.public_id}/"
    vet.go(home)
    fetch_ahead(vet)
    line.cut()
    for form in ("notes/new/", "readings/new/", "exams/new/", "feet/RF/"):
        vet.go(home + form)
        assert AS_OF.search(as_of(vet)), form


def test_a_form_fetched_the_evening_before_is_of_today_and_says_whose_today_its_words_are(
    enter: Open, cast: Cast, line: Line
) -> None:
    farrier = on_the_phone(enter, line, cast.farrier)
    path = f"/cases/{cast.case.public_id}/visits/new/"
    keep_opened(farrier, path)
    day = "document.querySelector('main [type=date]').value"
    today = farrier.page.evaluate(day)
    yesterday = (date.fromisoformat(today) - timedelta(days=1)).isoformat()
    as_if_kept_before(farrier, path, today, yesterday)
    line.cut()
    farrier.go(path)
    assert farrier.page.evaluate(day) == today
    assert farrier.page.evaluate("document.querySelector('main [type=date]').max") == today
    assert "“Today” on this page is that day" in as_of(farrier)
    assert re.search(r"As of \w{3},? \d+ \w{3}, \d+:\d\d", as_of(farrier))


def test_the_form_of_a_stop_leads_on_without_a_connection_past_what_was_written_meanwhile(
    enter: Open, cast: Cast, line: Line, stop: str, now: datetime
) -> None:
    other = visit_board(BOARDS[0], cast, now)
    tomorrow = (now + timedelta(days=1)).date()
    visit_plan(access=cast.access(cast.farrier, other), on=tomorrow, now=now)
    farrier = on_the_phone(enter, line, cast.farrier)
    fetch_ahead(farrier)
    line.cut()
    day = f"?day={tomorrow}"
    farrier.go(f"{stop}visits/new/{day}")
    bar = farrier.page.locator(".actionbar")
    expect(bar).to_contain_text(f"Save, then {other.horse.name}")
    farrier.control("Barefoot all round").click()
    farrier.control(f"Save, then {other.horse.name}").click()
    farrier.leaves(farrier.control(f"On to {other.horse.name}").click)
    assert farrier.page.url.endswith(f"/cases/{other.public_id}/visits/new/{day}")
    expect(bar).to_contain_text("Save the visit")  # no longer: then the first of them again
    farrier.control("All as last, reset").click()
    farrier.control("Save the visit").click()
    farrier.leaves(farrier.control("To the day").click)
    assert AS_OF.search(as_of(farrier))
    expect(farrier.page.get_by_role("heading", level=1)).to_be_visible()


def test_a_form_asked_for_from_a_days_list_opens_the_one_that_is_kept(
    enter: Open, cast: Cast, line: Line
) -> None:
    today = clock.now().date()
    farrier = on_the_phone(enter, line, cast.farrier)
    path = f"/cases/{cast.case.public_id}/visits/new/"
    keep_opened(farrier, path)
    line.cut()
    farrier.go(f"{path}?day={today}")
    assert AS_OF.search(as_of(farrier))
    kept_on = "document.querySelector('[name=kept_on]').value"
    assert farrier.page.evaluate(kept_on) == str(today)
    farrier.fill(words="Trimmed on the way.")
    for foot in ("LF", "RF", "LH", "RH"):
        farrier.page.locator(f"#id_{foot}-left").select_option("barefoot")
    farrier.control("Save the visit").click()
    expect(farrier.control("To the day")).to_be_visible()
    [draft] = farrier.page.evaluate("window.drafts.list()")
    assert draft["action"] == f"{path}?day={today}"
    line.be("through")
    farrier.until("window.drafts.now()")
    assert Visit.objects.get(words="Trimmed on the way.").kept_on == today


def test_a_form_asked_for_with_a_day_that_was_reported_has_that_day_without_a_connection(
    enter: Open, cast: Cast, line: Line
) -> None:
    farrier = on_the_phone(enter, line, cast.farrier)
    path = f"/cases/{cast.case.public_id}/visits/new/"
    keep_opened(farrier, path)
    line.cut()
    reported = clock.now().date() - timedelta(days=2)
    farrier.go(f"{path}?on={reported}")
    expect(farrier.field("kept_on")).to_be_visible()
    expect(farrier.field("kept_on")).to_have_value(str(reported))


def test_a_foots_camera_leads_to_its_pictures_form_without_a_connection(
    enter: Open, cast: Cast, line: Line, stop: str
) -> None:
    farrier = on_the_phone(enter, line, cast.farrier)
    fetch_ahead(farrier)
    line.cut()
    farrier.go(f"{stop}pictures/new/?foot=RH&view=side")
    assert AS_OF.search(as_of(farrier))
    chosen = "[...document.querySelectorAll('main :checked')].map((one) => one.value)"
    assert {"RH", "side"} <= set(farrier.page.evaluate(chosen))
    farrier.go(f"{stop}pictures/new/?of=visit&id=abc", status=503)  # that visit's own: not kept


def test_the_list_of_a_day_is_there_without_a_connection(
    enter: Open, cast: Cast, line: Line, stop: str
) -> None:
    """The list of today, or for another day that of the week."""
    farrier = on_the_phone(enter, line, cast.farrier)
    fetch_ahead(farrier)
    line.cut()
    today = clock.now().date()
    titles = []
    for day in (today, today + timedelta(days=1)):
        farrier.go(f"/round/?from={day}&days=1")
        assert AS_OF.search(as_of(farrier))
        titles.append(farrier.page.locator("h1").inner_text())
    farrier.go("/round/?days=1")
    assert titles[0] == farrier.page.locator("h1").inner_text()
    farrier.go("/round/")
    assert titles[1] == farrier.page.locator("h1").inner_text() != titles[0]


def test_what_comes_late_is_offered_and_kept(enter: Open, cast: Cast, line: Line) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner)
    line.late_s = 6
    owner.go("/horses/")
    assert "did not answer in time" in as_of(owner)
    line.late_s = 0
    link = owner.page.get_by_role("link", name="It has come now: show it")
    expect(link).to_be_visible()
    assert "did not answer" not in as_of(owner)
    link.click()
    expect(owner.page.locator("[data-as-of]")).to_have_count(0)


def test_requests_that_hang_do_not_keep_the_phone_from_all_that_comes_after(
    enter: Open, cast: Cast, line: Line, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A browser opens six connections to one site, and asks for nothing more while all of them hang."""
    from caseboard.views import pages

    quick = pages.worker_script().replace("WAIT_ALONE_MS = 25000", "WAIT_ALONE_MS = 3000")
    monkeypatch.setattr(pages, "worker_script", lambda: quick)
    owner = on_the_phone(enter, line, cast.owner)
    board = f"/cases/{cast.case.public_id}/"
    parts = ("", "team/", "notes/new/", "flags/new/", "history/")
    paths = ["/horses/", "/look/", "/notices/", *(board + one for one in parts)]
    for path in paths:
        keep_opened(owner, path)
    line.be("hangs")
    for path in paths:
        owner.go(path)
        assert AS_OF.search(as_of(owner))
    line.goes_on_without("through")
    owner.page.wait_for_timeout(4000)
    owner.go("/horses/")
    expect(owner.page.locator("[data-as-of]")).to_have_count(0)


def test_what_a_page_says_once_is_not_kept_with_it(enter: Open, cast: Cast, line: Line) -> None:
    """Shown again later, "Saved" would be untrue, and would throw away a text not yet sent."""
    owner = on_the_phone(enter, line, cast.owner)
    home = f"/cases/{cast.case.public_id}/"
    owner.go(f"{home}notes/new/")
    owner.fill(body="Shorter on the left since Sunday")
    owner.page.locator("main form[data-keep] button[type=submit]").click()
    owner.page.wait_for_url(re.compile(home + "(#.*)?$"))
    expect(owner.page.locator("meta[name=told-once]")).to_have_count(1)
    until_kept(owner, home)
    board = next(text for name, text in cached(owner).items() if name.endswith(home))
    assert "Shorter on the left since Sunday" in board
    assert "told-once" not in board
    assert "kept-clear" not in board


def test_a_page_kept_before_an_update_has_its_own_styles(
    enter: Open, cast: Cast, line: Line
) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner)
    fetch_ahead(owner)  # so that the page is not fetched anew behind the change
    with_styles_of_old(owner, "/horses/", "header { border-top: 7px solid }")
    line.cut()
    owner.go("/horses/")
    look = "getComputedStyle(document.querySelector('header')).borderTopWidth"
    assert owner.page.evaluate(look) == "7px"


def test_what_was_on_its_way_at_a_sign_out_is_not_kept(enter: Open, cast: Cast, line: Line) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    line.late_s = 1
    owner.page.evaluate(
        "navigator.serviceWorker.controller.postMessage({type: 'fetch-ahead', now: true})"
    )
    owner.page.wait_for_timeout(1500)
    worker_says(owner, "forget-person", person=cast.owner.public_id)
    owner.page.wait_for_timeout(3500)
    assert not any(cast.horse.name in text for text in cached(owner).values())


def test_a_flags_pictures_are_there_without_a_connection(
    enter: Open, cast: Cast, line: Line, now: datetime
) -> None:
    drawn = io.BytesIO()
    Image.new("RGB", (8, 8), "brown").save(drawn, "JPEG")
    flag = flag_raise_with_photos(
        access=cast.access(cast.owner, cast.case),
        signs=["short_stride"],
        feet=["LF"],
        since_on=None,
        words="Short on stones",
        photos=[replace(photo(), jpeg=drawn.getvalue())],
        now=now,
    )
    owner = on_the_phone(enter, line, cast.owner)
    path = f"/cases/{cast.case.public_id}/flags/{flag.public_id}/"
    keep_opened(owner, path)
    line.cut()
    owner.go(path)
    assert AS_OF.search(as_of(owner))
    owner.until("document.querySelector('main img.picture').naturalWidth === 8")


def test_a_picture_that_was_blanked_out_goes_from_the_phones_of_all_at_their_next_contact(
    enter: Open, cast: Cast, line: Line, now: datetime
) -> None:
    access = cast.access(cast.owner, cast.case)
    (picture,) = pictures_add(
        access=access, taken=Taken([photo()], Shown("side", "LF")), of="", of_id="", now=now
    )
    path = f"/cases/{cast.case.public_id}/pictures/{picture.public_id}/"
    farrier = on_the_phone(enter, line, cast.farrier)
    keep_opened(farrier, path)
    assert any(f"{path}file/" in name for name in cached(farrier))
    just_now = datetime.now(UTC)  # the site's clock is the real one here
    picture_blank(access=access, picture_id=picture.public_id, reason="A face", now=just_now)
    farrier.go("/horses/")
    fetch_ahead(farrier)
    assert not any(path in name for name in cached(farrier))


def test_a_full_phone_says_so_and_goes_on(enter: Open, cast: Cast, line: Line) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    session = owner.context.new_cdp_session(owner.page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": line.address, "quotaSize": 1})
    owner.go(f"/cases/{cast.case.public_id}/")
    fetch_ahead(owner)
    assert worker_says(owner, "kept-status")["refused"] == "full"
    owner.go("/horses/")
    owner.sees(cast.horse.name)


def test_a_form_that_is_shown_twice_from_the_shelf_is_two_forms(
    enter: Open, cast: Cast, line: Line
) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    path = f"/cases/{cast.case.public_id}/flags/new/"
    keep_opened(owner, path)
    key = "[...document.querySelectorAll('[name=client_key]')].map((f) => f.value)"
    keys = [owner.page.evaluate(key)]
    line.cut()
    for _ in range(2):
        owner.go(path)
        keys.append(owner.page.evaluate(key))
    flat = [one for some in keys for one in set(some)]
    assert all(keys)
    assert len(flat) == len(set(flat))


# -- for whom


def test_signing_out_empties_it(enter: Open, cast: Cast, line: Line) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner)
    assert any(cast.horse.name in text for text in cached(owner).values())
    owner.page.locator("footer [data-sign-out] button").click()
    owner.page.wait_for_url(re.compile("/accounts/login/"))
    owner.until("caches.keys().then((names) => names.every((name) => !name.startsWith('kept-')))")
    assert not any(cast.horse.name in text for text in cached(owner).values())
    line.cut()
    owner.go("/horses/", status=503)
    owner.sees_no(cast.horse.name)


def test_the_page_that_signs_out_can_have_it_emptied_first(
    enter: Open, cast: Cast, line: Line
) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner)
    answer = worker_says(owner, "forget-person", person=cast.owner.public_id)
    assert answer["type"] == "forgotten"
    assert not any(cast.horse.name in text for text in cached(owner).values())


def test_who_was_removed_has_nothing_of_the_case_after_the_next_contact(
    enter: Open, cast: Cast, line: Line, stop: str, now: datetime
) -> None:
    farrier = on_the_phone(enter, line, cast.farrier)
    farrier.go(stop)
    fetch_ahead(farrier)
    assert any(cast.horse.name in text for text in cached(farrier).values())
    Membership.objects.filter(person=cast.farrier).update(left_at=now)
    farrier.go("/notices/")
    fetch_ahead(farrier)
    assert [n for n, text in cached(farrier).items() if "/cases/" in n or stop in text] == []


def test_a_page_that_is_no_more_is_dropped_with_its_case(
    enter: Open, cast: Cast, line: Line, stop: str, now: datetime
) -> None:
    farrier = on_the_phone(enter, line, cast.farrier)
    farrier.go(stop)
    fetch_ahead(farrier)
    Membership.objects.filter(person=cast.farrier, case=cast.case).update(left_at=now)
    farrier.go(f"{stop}feet/LF/", status=404)
    kept = f"caches.open('kept-1-{cast.farrier.public_id}').then((s) => s.match('{stop}'))"
    farrier.until(f"{kept}.then((found) => !found)")


def test_a_phone_whose_sign_in_was_ended_elsewhere_forgets_at_its_next_contact(
    enter: Open, cast: Cast, line: Line
) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner)
    line.cut()
    SignIn.objects.filter(person=cast.owner).delete()
    owner.go("/horses/")
    owner.sees(cast.horse.name)  # it has not heard of it yet
    line.be("through")
    owner.go("/horses/")
    owner.until("caches.keys().then((names) => names.every((name) => !name.startsWith('kept-')))")
    line.cut()
    owner.go("/horses/", status=503)
    owner.sees_no(cast.horse.name)
    assert not any(cast.horse.name in text for text in cached(owner).values())


def test_people_see_how_much_lies_in_their_phone_and_can_empty_it(
    enter: Open, cast: Cast, line: Line
) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    fetch_ahead(owner)
    owner.go("/me/")
    box = owner.page.locator("[data-shelf]")
    expect(box).to_contain_text(re.compile(r"\d+ pages to read without a signal, for you alone"))
    owner.look_over()
    box.get_by_role("button", name="Empty it").click()
    expect(box).to_contain_text("No pages to read without a signal.")
    assert not any(cast.horse.name in text for text in cached(owner).values())


# -- until when


@pytest.mark.parametrize(
    ("spent_ms", "clock_ms", "is_there"),
    [
        (13 * DAY_MS, 0, True),
        (14 * DAY_MS, 0, False),
        (13 * DAY_MS, 2 * DAY_MS, False),  # went by since it was last looked at
        (13 * DAY_MS, -9 * DAY_MS, True),  # turned back: no time is given back
        (14 * DAY_MS, -9 * DAY_MS, False),
        (0, 3 * 3600 * 1000, True),  # three hours wrong
        (0, -3 * 3600 * 1000, True),
    ],
)
def test_it_is_kept_for_two_weeks_after_the_last_contact_whatever_the_clock_says(
    enter: Open, cast: Cast, line: Line, spent_ms: int, clock_ms: int, is_there: bool
) -> None:
    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner)
    line.cut()
    time_passes(owner, cast.owner, spent_ms=spent_ms, clock_ms=clock_ms)
    owner.go("/horses/", status=200 if is_there else 503)
    assert any(cast.horse.name in text for text in cached(owner).values()) is is_there


def test_a_new_worker_keeps_what_is_kept_and_drops_an_older_shelf(
    enter: Open, cast: Cast, line: Line, monkeypatch: pytest.MonkeyPatch
) -> None:
    from caseboard.views import pages

    owner = on_the_phone(enter, line, cast.owner)
    keep_opened(owner)
    owner.page.evaluate("caches.open('kept-0-old').then((c) => c.put('/x', new Response('x')))")
    script = pages.worker_script()
    monkeypatch.setattr(pages, "worker_script", lambda: script + "\nself.isNewer = true;\n")
    owner.page.evaluate("navigator.serviceWorker.getRegistration().then((r) => r.update())")
    owner.until("caches.has('kept-0-old').then((has) => !has)")
    line.cut()
    owner.go("/horses/")
    assert AS_OF.search(as_of(owner))
    styled = "getComputedStyle(document.querySelector('.sitehead')).borderBottomStyle"
    assert owner.page.evaluate(styled) == "solid"
