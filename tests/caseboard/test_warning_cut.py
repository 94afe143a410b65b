"""What an item forbids outlasts the shortening of its words."""

import pytest

from caseboard.sheets.warning_cut import warning_cut

FRONTS = (
    "Plan item 3: Both fronts alike: rolled toe, shoe set back, heels covered and some length "
    "behind. No wedges. (Not agreed yet.)"
)


def test_what_is_forbidden_at_the_end_stays() -> None:
    words = warning_cut(FRONTS, 60)
    assert words == "Plan item 3: Both fronts alike: rolled toe, … No wedges."
    assert len(words) <= 60


@pytest.mark.parametrize("limit", range(30, len(FRONTS)))
def test_at_every_length_it_says_so_within_the_limit(limit: int) -> None:
    words = warning_cut(FRONTS, limit)
    assert "No wedges" in words
    assert len(words) <= limit


def test_each_thing_that_is_forbidden_stays() -> None:
    text = "Plan item 1: Front feet: no wedges, and no sole off, until the next films are here."
    assert warning_cut(text, 60) == "Plan item 1: Front feet: no wedges, and no sole off, …"


def test_what_it_forbids_keeps_the_words_before_it() -> None:
    text = "Plan item 4: Shoe every 5 weeks until the toes are back, not every 7."
    words = warning_cut(text, 60)
    assert words == "Plan item 4: Shoe every 5 weeks until the toes… not every 7."


def test_what_forbids_nothing_is_cut_at_its_end() -> None:
    assert warning_cut("Bar shoes in front until the wall has grown.", 20) == "Bar shoes in front…"


def test_not_agreed_yet_forbids_nothing() -> None:
    assert warning_cut("Bar shoes in front, long. (Not agreed yet.)", 20) == "Bar shoes in front,…"


def test_a_short_one_is_left_alone() -> None:
    assert warning_cut("Plan item 1: no wedges.", 60) == "Plan item 1: no wedges."


def test_words_without_an_end_keep_the_limit() -> None:
    assert len(warning_cut("no " + "W" * 500, 60)) <= 60
