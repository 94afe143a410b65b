"""A board that stays open asks each minute what is new, and gets into nobody's way."""

from datetime import datetime

import pytest
from playwright.sync_api import Locator, Route, expect

from horses.models import Alert
from tests import build
from tests.browser.conftest import Open
from tests.browser.visitor import Visitor
from tests.cast import Cast

POLLS = 10
WORDS = "Warm since the morning, and she points it."


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


class Board:
    """One person's open board that asks every fifth of a second, and how often it has."""

    def __init__(self, person: Visitor, cast: Cast) -> None:
        self.person, self.asked = person, 0
        person.context.route(f"**/cases/{cast.case.public_id}/", self._sooner)
        person.page.on("request", self._count)
        person.go(f"/cases/{cast.case.public_id}/")
        person.unfold()

    def _sooner(self, route: Route) -> None:
        answer = route.fetch()
        assert "every 60s" in answer.text()
        route.fulfill(response=answer, body=answer.text().replace("every 60s", "every 200ms"))

    def _count(self, request: object) -> None:
        self.asked += str(getattr(request, "url", "")).endswith("/now/")

    def polls(self, count: int = POLLS) -> None:
        """Waits until it has asked so many times more, and has been answered."""
        until = self.asked + count
        while self.asked < until:
            self.person.page.wait_for_timeout(50)
        self.person.page.wait_for_timeout(300)

    @property
    def now(self) -> Locator:
        return self.person.page.locator("#now")


@pytest.fixture
def board(enter: Open, cast: Cast, now: datetime) -> Board:
    for day in range(4):
        build.flag(cast.access(cast.carer), now, "crack", words=f"Crack number {day}.")
    Alert.objects.create(
        horse=cast.horse,
        rule="shape.narrow_frog",
        subject="LF",
        weight="remark",
        evidence={},
        title="A remark",
        sentence="As before.",
        now_sentence="As before.",
        true_since=now,
        raised_at=now,
        now_at=now,
    )
    return Board(enter(cast.owner, looks=False), cast)


def something_new(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.vet), now, "heat", words=WORDS)


def test_ten_polls_leave_open_what_is_open_and_the_focus_where_it_is(board: Board) -> None:
    page = board.person.page
    fold = board.now.locator("details.remarks").first
    fold.locator("summary").click()
    link = board.now.get_by_role("link", name="Answer").nth(2)
    link.focus()
    page.evaluate("scrollTo(0, 400)")
    at = page.evaluate("scrollY")
    board.polls()
    expect(fold).to_have_attribute("open", "")
    expect(link).to_be_focused()
    assert page.evaluate("scrollY") == at


OPEN_FOLDS = "() => [...document.querySelectorAll('details')].map((fold) => fold.open)"


def test_ten_polls_with_something_new_open_no_fold_and_close_none(
    board: Board, cast: Cast, now: datetime
) -> None:
    page = board.person.page
    page.locator("details.fold > summary", has_text="Plan").first.click()  # closed again
    before = page.evaluate(OPEN_FOLDS)
    assert True in before
    assert False in before
    board.polls()
    assert page.evaluate(OPEN_FOLDS) == before
    inside = "() => [...document.querySelectorAll('.folds > details')].map((fold) => fold.open)"
    folds = page.evaluate(inside)
    something_new(cast, now)
    board.polls()
    expect(board.now).to_contain_text(WORDS)
    assert page.evaluate(inside) == folds


def test_a_foot_page_asks_for_nothing_and_so_keeps_all_as_it_is(
    enter: Open, cast: Cast, now: datetime
) -> None:
    for quantity in ("toe_angle", "heel_angle", "toe_length"):
        value = 80 if quantity == "toe_length" else 50
        build.reading(cast.access(cast.farrier), now, "LF", quantity, value, now.date())
    one = enter(cast.owner, looks=False)
    one.go(f"/cases/{cast.case.public_id}/feet/LF/")
    assert one.page.locator("[data-poll], [hx-trigger*='every']").count() == 0


def test_something_new_comes_in_and_leaves_fold_focus_and_sight_as_they_were(
    board: Board, cast: Cast, now: datetime
) -> None:
    page = board.person.page
    fold = board.now.locator("details.remarks").first
    fold.locator("summary").click()
    link = board.now.get_by_role("link", name="Answer").nth(2)
    link.focus()
    link.scroll_into_view_if_needed()
    top = page.evaluate("document.activeElement.getBoundingClientRect().top")
    address = link.get_attribute("href")
    something_new(cast, now)
    board.polls()
    expect(board.now).to_contain_text(WORDS)
    expect(fold).to_have_attribute("open", "")
    assert page.evaluate("document.activeElement.getAttribute('href')") == address
    assert abs(page.evaluate("document.activeElement.getBoundingClientRect().top") - top) < 2


def test_half_typed_words_are_not_swept_away_by_something_new(
    board: Board, cast: Cast, now: datetime
) -> None:
    page = board.person.page
    page.evaluate(
        "document.querySelector('#now .fold-body').insertAdjacentHTML('beforeend',"
        ' \'<form><textarea name="words" aria-label="Words"></textarea></form>\')'
    )
    area = board.now.locator("textarea")
    area.fill("I will ring him when")
    something_new(cast, now)
    board.polls()
    expect(area).to_have_value("I will ring him when")
    expect(area).to_be_focused()
    expect(board.now).to_contain_text("shows once you have sent what you are typing")
    area.fill("")
    area.blur()
    board.polls(2)
    expect(board.now).to_contain_text(WORDS)


def test_who_sent_nothing_is_not_told_that_nothing_was_sent(board: Board) -> None:
    person = board.person
    person.watch.lost_on_purpose = True
    person.watch.complaints.clear()
    person.context.route("**/now/", lambda route: route.abort())
    board.polls(3)
    expect(board.now).to_contain_text("no connection since")
    expect(person.page.locator("#live")).not_to_contain_text("sent")
    expect(board.now.locator("[data-stale]")).to_have_count(1)
    person.context.unroute("**/now/")
    board.polls(2)
    expect(board.now.locator("[data-stale]")).to_have_count(0)
    person.watch.complaints = [c for c in person.watch.complaints if "htmx:error" not in c]


def test_a_message_that_nobody_has_read_yet_stays_through_the_polls(board: Board) -> None:
    page = board.person.page
    page.evaluate(
        "document.dispatchEvent(new CustomEvent('board:say', {detail: {words: 'Read me.'}}))"
    )
    board.polls()
    expect(page.locator("#live")).to_contain_text("Read me.")


def test_who_was_signed_out_meanwhile_is_told_so_once(board: Board, cast: Cast) -> None:
    board.person.context.clear_cookies()
    board.polls(3)
    expect(board.now).to_contain_text("You are signed out: it has been a while.")
    expect(board.now.get_by_role("link", name="Sign in again")).to_have_count(1)
    board.person.page.goto("about:blank")
    watch = board.person.watch
    watch.complaints = [c for c in watch.complaints if "status of 401" not in c]
