"""Sentences that people wrote who did not know the grammar: how much of them is read, and how much wrongly.

Each has the `values` it holds ([foot, moment, quantity, value], in degrees or mm), the `work` and the `next`
visit. What is only wished, remembered or guessed in a sentence is not among them.

The first 200 sentences were read while the grammar was made, and of the second 200 a random half (`HELD_OUT`
is the other). Of the held-out half only the counts were looked at: 87 % of its values are read right, 1.8 %
are sure and wrong, and of its work 81 % is read. The whole reads better, as it was worked on.
"""

import json
import random
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.axe import violations
from tests.browser.conftest import Open
from tests.browser.test_spoken_line import GRAMMAR, STATIC
from tests.cast import Cast

SENTENCES = json.loads(Path(__file__).with_name("spoken_sentences.json").read_text())
SECOND = 200  # from here on the second part
SHUFFLED = list(range(SECOND, len(SENTENCES)))
random.Random(2).shuffle(SHUFFLED)
HELD_OUT = frozenset(SHUFFLED[len(SHUFFLED) // 2 :])

# As measured (0.959, held out 0.869), with a little room.
RIGHT = 0.95
RIGHT_HELD_OUT = 0.86
# As measured (0.005), with a little room: each is shown, and a person takes it or not.
SURE_AND_WRONG = 0.008
# As measured (0.915 and 0.021), with a little room; a wrong one may be asked about.
WORK_RIGHT = 0.90
WORK_WRONG = 0.025
NEAR = 0.3  # degrees or mm: inches are written down rounded


@pytest.fixture(scope="module")
def found(chromium: Browser) -> Any:
    """What the grammar makes of every sentence, for a horse of which nothing is known."""
    page = chromium.new_page()
    for name in GRAMMAR:
        page.add_script_tag(path=str(STATIC / name))
    lines = [sentence["line"] for sentence in SENTENCES]
    read = page.evaluate("(lines) => lines.map((line) => window.spoken.read(line))", lines)
    page.close()
    return read


def is_meant(chip: dict[str, Any], sentence: dict[str, Any]) -> bool:
    return any(
        [foot, moment, quantity] == [chip["foot"], chip["moment"], chip["quantity"]]
        and abs(value - chip["value"]) < NEAR
        for foot, moment, quantity, value in sentence["values"]
    )


def values_in(read: dict[str, Any]) -> list[dict[str, Any]]:
    return [chip for chip in read["chips"] if chip["kind"] == "value"]


def share_right(found: list[dict[str, Any]], indices: Iterable[int]) -> float:
    meant = right = 0
    for index in indices:
        meant += len(SENTENCES[index]["values"])
        right += sum(is_meant(chip, SENTENCES[index]) for chip in values_in(found[index]))
    return right / meant


def test_nineteen_values_of_twenty_are_read(found: list[dict[str, Any]]) -> None:
    assert share_right(found, range(len(SENTENCES))) >= RIGHT


def test_the_sentences_held_out_are_read_nearly_as_well(found: list[dict[str, Any]]) -> None:
    assert share_right(found, HELD_OUT) >= RIGHT_HELD_OUT


def test_work_is_read_of_the_feet_it_was_done_to(found: list[dict[str, Any]]) -> None:
    meant = right = wrong = 0
    for sentence, read in zip(SENTENCES, found, strict=True):
        work = {(foot, what) for foot, what in sentence["work"]}
        said = {(one["foot"], one["what"]) for one in read["chips"] if one["kind"] == "work"}
        meant += len(work)
        right += len(work & said)
        wrong += len(said - work)
    assert right / meant >= WORK_RIGHT
    assert wrong / meant <= WORK_WRONG


def test_hardly_any_value_is_sure_and_wrong(found: list[dict[str, Any]]) -> None:
    meant = sum(len(sentence["values"]) for sentence in SENTENCES)
    wrong = [
        (sentence["line"], chip)
        for sentence, read in zip(SENTENCES, found, strict=True)
        for chip in values_in(read)
        if chip["sure"] and not is_meant(chip, sentence)
    ]
    assert len(wrong) <= SURE_AND_WRONG * meant, wrong


def test_a_sentence_without_values_and_work_is_kept_as_text_or_asked_about(
    found: list[dict[str, Any]],
) -> None:
    for sentence, read in zip(SENTENCES, found, strict=True):
        if not sentence["values"] and not sentence["next"] and not sentence["work"]:
            assert read["rest"] or not any(chip["sure"] for chip in read["chips"]), sentence["line"]


FIELDS = """() => JSON.stringify([...new FormData(document.getElementById("visit-form"))]
  .filter(([name]) => name !== "line" && name !== "csrfmiddlewaretoken"))"""
READ_ALL = """(lines) => {
  const box = document.getElementById("spoken-line");
  for (const line of lines) {
    box.value = line;
    box.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true, cancelable: true }));
  }
}"""


def test_reading_a_line_changes_nothing_in_the_form(enter: Open, cast: Cast) -> None:
    visitor = enter(cast.farrier)
    visitor.go(f"/cases/{cast.case.public_id}/visits/new/")
    page = visitor.page
    before = page.evaluate(FIELDS)
    page.evaluate(READ_ALL, [sentence["line"] for sentence in SENTENCES])
    expect(page.locator(".heard")).to_be_visible()
    assert page.evaluate(FIELDS) == before


def test_a_list_is_one_question_and_fills_every_foot_of_it(enter: Open, cast: Cast) -> None:
    visitor = enter(cast.farrier)
    visitor.go(f"/cases/{cast.case.public_id}/visits/new/")
    page = visitor.page
    page.fill("#spoken-line", "hinds 54 and 53")
    asked = page.locator(".heard button.unsure")
    expect(asked).to_have_text("Toe angle: Left hind 54°, right hind 53° – is that right?")
    asked.click()
    assert page.input_value('[name="LH-toe_angle-after"]') == "54"
    assert page.input_value('[name="RH-toe_angle-after"]') == "53"


def test_what_was_heard_fits_a_phone_at_twice_the_size_of_text(enter: Open, cast: Cast) -> None:
    visitor = enter(cast.farrier)
    visitor.go(f"/cases/{cast.case.public_id}/visits/new/")
    page = visitor.page
    page.set_viewport_size({"width": 390, "height": 844})
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    page.fill("#spoken-line", "left fore 50, hinds 54 and 53, reset fronts, bit sore, six weeks")
    expect(page.locator(".heard button.unsure").first).to_be_visible()
    wide = "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    assert page.evaluate(wide)
    assert violations(page, "light") == []
