"""What a visit costs on a phone: taps, keys, bytes, nodes and height of its form, board by board.

    uv run python -m tests.bench.visit_form

Production's settings on an empty embedded database; the system's Chromium at 390 x 844 with a touch screen.
The visit has eight values, four shoes, each plan item done and the next visit a week later than usual, and it
is really written up: a tap is a tap on the page, a key a key, a dictated line is counted as one line. Heights
are those of the page as it opens. Bytes are the page's own: as it is, by gzip -6 and by brotli -5.

The form before had every quantity of every foot open. Its row is what was measured then, on the invented
riding school and by the same visit, its values typed; it is not measured again.
"""

import gzip
import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import brotli
from playwright.sync_api import Browser, Locator, Page, expect, sync_playwright

from tests.bench.first_load import CHROMIUM, PHONE, Served, board_served

GZIP_LEVEL = 6
PATIENCE_MS = 60_000  # a machine that does other work as well
BROTLI_LEVEL = 5  # both: what servers compress with as they answer; common practice, no source
COLUMNS = ("", "taps", "keys", "kB plain", "gzip", "brotli", "nodes", "controls", "screens")
BEFORE = ("the form before", "5", "108", "98", "", "", "", "195", "10")
SPOKEN = "; spoken"
LINE = (
    "left fore 52 and a half, toe 82, right fore 50 and a half, toe 83, left hind 51, toe 85, "
    "right hind 51 and a half, toe 84, reset all round, next 8 weeks"
)
STEPS = {
    "LF-toe_angle": 2,
    "RF-toe_angle": -2,
    "LF-toe_length": 0,
    "RF-toe_length": 1,
    "LH-toe_angle": -1,
    "RH-toe_angle": 0,
    "LH-toe_length": 3,
    "RH-toe_length": 2,
}
FIRST = {"toe_angle": "51.5", "toe_length": "82"}  # where there is nothing to step from
FILL = """
import json
from django.conf import settings
from django.urls import reverse
from caseboard.lib import clock
from tests.bench.load_queries import signed
from tests.cast import make_cast
from tests.visit_boards import BOARDS, visit_board
now = clock.now()
cast = make_cast(now)
cast.farrier.length_unit = "mm"
cast.farrier.save()
form = lambda board: reverse("visit_new", args=[visit_board(board, cast, now).public_id])
pages = [[b.name, b.shoe, form(b), form(b)] for b in BOARDS]
cookie = signed(cast.farrier).cookies[settings.SESSION_COOKIE_NAME]
print("FILLED", json.dumps([cookie.key, cookie.value, json.dumps(pages)]))
"""


NODES = "(html) => new DOMParser().parseFromString(html, 'text/html').querySelectorAll('*').length"


@dataclass
class Hand:
    """A thumb on the glass, and what it has done."""

    page: Page
    taps: int = 0
    keys: int = 0
    lines: int = 0

    def tap(self, spot: Locator) -> None:
        self.taps += 1
        spot.tap()

    def type(self, box: Locator, text: str) -> None:
        self.tap(box)
        self.keys += len(text)
        self.page.keyboard.type(text)

    def next(self, text: str) -> None:
        """By the keypad's own key."""
        self.page.keyboard.press("Enter")
        self.keys += 1 + len(text)
        self.page.keyboard.type(text)

    def say(self, box: Locator, line: str) -> None:
        self.tap(box)
        self.lines += 1
        self.page.keyboard.insert_text(line)


@dataclass(frozen=True)
class Opened:
    """The form as it opens."""

    kilobytes: tuple[float, float, float]
    nodes: int
    controls: int
    screens: float


def opened(page: Page, url: str) -> Opened:
    answer = page.goto(url)
    assert answer is not None
    assert answer.ok, answer.status
    body = answer.body()
    small = gzip.compress(body, GZIP_LEVEL), brotli.compress(body, quality=BROTLI_LEVEL)
    controls = (
        "document.querySelectorAll('main :is(input:not([type=hidden]), select, textarea)').length"
    )
    return Opened(
        (len(body) / 1000, len(small[0]) / 1000, len(small[1]) / 1000),
        page.evaluate(NODES, body.decode()),
        page.evaluate(controls),
        page.evaluate(f"document.documentElement.scrollHeight / {PHONE['height']}"),
    )


def _measures(hand: Hand, shoe: str | None) -> None:
    page = hand.page
    if shoe is None:
        first, *rest = sorted(STEPS, key=lambda n: (n[1] == "H", n.endswith("length"), n[0] == "R"))
        hand.type(page.locator(f"[name={first}-after]"), FIRST[first[3:]])
        for name in rest:
            hand.next(FIRST[name[3:]])
            expect(page.locator(f"[name={name}-after]")).to_be_focused()
        return
    for name, steps in STEPS.items():
        val = page.locator(f'.val:has([name="{name}-after"])')
        way = f'[data-way="{1 if steps > 0 else -1}"]' if steps else ".same"
        for _ in range(abs(steps) or 1):
            hand.tap(val.locator(way))


def _shoes(hand: Hand, shoe: str | None) -> None:
    page = hand.page
    if shoe:
        hand.tap(page.locator('[name="as_last"][value="all-reset"]'))
    elif shoe == "":
        hand.tap(page.locator('[name="as_last"][value="all-bare"]'))
    else:  # nobody has said yet how the feet are
        for pair in ("fronts", "hinds"):
            hand.tap(page.locator(f'[name="as_last"][value="{pair}-new"]'))


def _plan_items(hand: Hand) -> None:
    for item in hand.page.locator("#visit-end .outcome").all():
        hand.tap(item.locator('.choice:has([value="done"])'))


def _saved(hand: Hand, readings: int) -> None:
    hand.tap(hand.page.locator('.actionbar [form="visit-form"]'))
    words = hand.page.locator("main", has_text=f"The visit is saved with {readings} readings.")
    expect(words).to_be_visible(timeout=PATIENCE_MS)


def tapped(page: Page, shoe: str | None) -> Hand:
    """`shoe`: what the feet wore last, "" for none, None where nobody knows."""
    hand = Hand(page)
    _measures(hand, shoe)
    _shoes(hand, shoe)
    _plan_items(hand)
    hand.tap(page.get_by_role("button", name="Next visit: a week later"))
    _saved(hand, len(STEPS))
    return hand


def spoken(page: Page) -> Hand:
    hand = Hand(page)
    hand.say(page.locator("#spoken-line"), LINE)
    heard = page.locator("[data-heard]")
    expect(heard.locator(".btn-main")).to_be_visible()
    hand.tap(heard.locator(".btn-main"))
    while heard.locator(".unsure").count():
        hand.tap(heard.locator(".unsure").first)
    _plan_items(hand)
    _saved(hand, len(STEPS))
    return hand


def _row(name: str, hand: Hand, form: Opened) -> tuple[str, ...]:
    typed = f"{hand.lines} line" if hand.lines else str(hand.keys)
    sizes = (f"{size:.1f}" for size in form.kilobytes)
    return (
        name,
        str(hand.taps),
        typed,
        *sizes,
        str(form.nodes),
        str(form.controls),
        f"{form.screens:.2f}",
    )


def rows(browser: Browser, served: Served) -> Iterator[tuple[str, ...]]:
    name, value = served.cookie
    context = browser.new_context(viewport=PHONE, has_touch=True, service_workers="block")
    context.add_cookies([{"name": name, "value": value, "url": served.address}])
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    for board, shoe, by_taps, by_word in json.loads(served.board):
        form = opened(page, served.address + by_taps)
        yield _row(board, tapped(page, shoe), form)
        if shoe:
            form = opened(page, served.address + by_word)
            yield _row(board + SPOKEN, spoken(page), form)


def table(lines: list[tuple[Any, ...]]) -> str:
    widths = [max(len(str(line[at])) for line in lines) for at in range(len(COLUMNS))]
    return "\n".join(
        "  ".join(
            str(cell).ljust(width) if at == 0 else str(cell).rjust(width)
            for at, (cell, width) in enumerate(zip(line, widths, strict=True))
        )
        for line in lines
    )


def main() -> int:
    with board_served(fill=FILL) as served, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        print(table([COLUMNS, BEFORE, *rows(browser, served)]))
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
