"""The looking over itself: each kind of fault, put on a page on purpose, is found."""

from pathlib import Path

import pytest

from tests.browser.conftest import Open
from tests.browser.likeness import LookedOver
from tests.browser.visitor import Visitor

ADD = """(html) => document.querySelector("main").insertAdjacentHTML("beforeend", html)"""
FAULTS = {
    "a small button": ("<button class='tiny'>x</button>", "too small: button.tiny"),
    "something wide": ("<pre class='wide'>" + "wide " * 200 + "</pre>", "too wide: page"),
    "a picture without words": ("<img src='/static/img/favicon.svg'>", "image-alt"),
}
TINY = """document.querySelectorAll(".tiny").forEach((one) => {
  one.style.setProperty("min-width", "0"); one.style.setProperty("min-height", "0"); one.style.setProperty("padding", "0");
})"""


@pytest.fixture
def anybody(visitor: Open) -> Visitor:
    one = visitor()
    one.go("/policy/")
    return one


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_on_the_page_is_found(fault: str, anybody: Visitor) -> None:
    html, found = FAULTS[fault]
    anybody.page.evaluate(ADD, html)
    anybody.page.evaluate(TINY)
    assert not anybody.faults
    anybody.look_over()
    assert any(found in line for line in anybody.faults)
    anybody.faults.clear()


def test_a_page_is_looked_over_again_when_a_word_of_it_is_another(
    anybody: Visitor, tmp_path: Path
) -> None:
    anybody.looked_over = LookedOver(tmp_path)

    def arrives() -> int:
        """How many pages are known then."""
        anybody.seen.clear()
        anybody.arrived()
        return len(list(tmp_path.iterdir()))

    assert arrives() == 1
    anybody.page.evaluate(ADD, "<p>2 more</p>")
    assert arrives() == 2
    anybody.page.evaluate("document.querySelector('main p:last-child').textContent = '3 more'")
    assert arrives() == 2  # a digit is no word
    anybody.page.evaluate("document.querySelector('main p:last-child').textContent = '3 others'")
    assert arrives() == 3
    anybody.page.evaluate("document.querySelector('main p:last-child').className = 'small'")
    assert arrives() == 4


def test_a_page_with_a_fault_is_looked_over_each_time(anybody: Visitor, tmp_path: Path) -> None:
    anybody.looked_over = LookedOver(tmp_path)
    for _ in range(2):
        anybody.page.evaluate(ADD, FAULTS["a picture without words"][0])
        anybody.seen.clear()
        anybody.arrived()
        assert anybody.faults
        anybody.faults.clear()
    assert list(tmp_path.iterdir()) == []


def test_a_breach_of_the_content_policy_is_heard(anybody: Visitor) -> None:
    anybody.page.evaluate(
        "document.body.append(Object.assign(document.createElement('script'), "
        "{textContent: 'globalThis.ran = 1'}))"
    )
    anybody.page.wait_for_timeout(100)
    assert anybody.page.evaluate("globalThis.ran") is None
    assert any("policy breach: script-src" in line for line in anybody.watch.complaints)
    anybody.watch.complaints.clear()


def test_a_script_that_breaks_is_heard(anybody: Visitor) -> None:
    anybody.page.evaluate("setTimeout(() => { throw new Error('broken on purpose'); })")
    anybody.page.wait_for_timeout(100)
    assert any("broken on purpose" in line for line in anybody.watch.complaints)
    anybody.watch.complaints.clear()
