"""Readers in words, and what changed between two texts. Pure: no database."""

import time
from datetime import date
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from horses.domain.wording import (
    Piece,
    audiences,
    day_words,
    foot_words,
    listed,
    reader_sentence,
    readers_short,
    words_changed,
)

TEAM = {"owner": ["Ola"], "farrier": ["Finn", "Stina"], "vet": ["Vera"], "carer": ["Cara"]}


@pytest.mark.parametrize(
    ("words", "text"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_words_in_a_row(words: list[str], text: str) -> None:
    assert listed(words) == text


def test_a_day_in_words() -> None:
    assert day_words(date(2026, 11, 2)) == "2 Nov 2026"
    assert day_words(None) == ""


def test_feet_in_both_ways_of_saying_them() -> None:
    assert foot_words("LH") == "left hind"
    assert foot_words("RF", SimpleNamespace(side_words="near_off")) == "off fore"
    assert foot_words("tail") == "tail"


# -- readers


@pytest.mark.parametrize("own", ["owner", "farrier", "vet"])
def test_every_set_of_readers_holds_the_writers_own_role(own: str) -> None:
    assert all(own in audience.roles for audience in audiences(own, TEAM))


def test_the_whole_team_is_offered_first_and_ones_own_side_last() -> None:
    offered = audiences("vet", TEAM)
    assert offered[0].label == "The whole team"
    assert offered[-1].label == "Vet only"


def test_no_set_holds_the_carer_without_the_owner() -> None:
    for own in ("owner", "farrier", "vet"):
        for audience in audiences(own, TEAM):
            assert "carer" not in audience.roles or "owner" in audience.roles


def test_no_set_is_offered_twice() -> None:
    values = [audience.value for audience in audiences("vet", TEAM)]
    assert len(values) == len(set(values))


def test_roles_that_nobody_holds_are_not_offered_one_by_one() -> None:
    offered = audiences("vet", {"owner": ["Ola"], "vet": ["Vera"]})
    assert [a.value for a in offered] == ["owner,farrier,vet,carer", "vet"]


def test_the_sentence_names_who_reads_and_which_side_does_not() -> None:
    assert reader_sentence({"vet", "farrier"}, TEAM) == (
        "Will be read by: Finn (farrier), Stina (farrier) and Vera (vet). Not the owner or carer."
    )
    assert reader_sentence({"owner"}, {}) == "Will be read by: nobody yet."


def test_who_reads_what_is_written_already() -> None:
    assert readers_short(["vet", "farrier"]) == "farrier and vet only"
    assert readers_short(iter(["owner", "farrier", "vet", "carer"])) == "the whole team"


# -- what changed


def old_of(pieces: list[Piece]) -> list[str]:
    return "".join(p.text for p in pieces if p.kind != "new").split()


def new_of(pieces: list[Piece]) -> list[str]:
    return "".join(p.text for p in pieces if p.kind != "gone").split()


def test_only_the_changed_words_are_marked() -> None:
    assert words_changed("Walk for two weeks.", "Walk for three weeks.") == [
        Piece("same", "Walk for "),
        Piece("gone", "two "),
        Piece("new", "three "),
        Piece("same", "weeks."),
    ]


def test_a_lone_word_between_two_changes_does_not_chop_them_up() -> None:
    pieces = words_changed("Ease and hold it.", "Gus and Rolf agreed.")
    assert [piece.kind for piece in pieces] == ["gone", "new"]


def test_the_same_text_has_no_change() -> None:
    assert words_changed("Walk.", "Walk.") == [Piece("same", "Walk.")]
    assert words_changed("", "") == [Piece("same", "")]


def test_words_put_in_and_taken_out_at_the_ends() -> None:
    assert words_changed("", "New.") == [Piece("new", "New.")]
    assert words_changed("Old.", "") == [Piece("gone", "Old.")]
    assert words_changed("Walk now", "Walk") == [Piece("same", "Walk "), Piece("gone", "now")]


texts = st.text(alphabet="ab \n.", max_size=60)


@settings(max_examples=300, deadline=None)
@given(texts, texts)
def test_both_texts_can_be_read_back_from_the_pieces(old: str, new: str) -> None:
    pieces = words_changed(old, new)
    assert old_of(pieces) == old.split()
    assert new_of(pieces) == new.split()


def test_two_long_texts_with_nothing_in_common_take_no_time() -> None:
    start = time.perf_counter()
    pieces = words_changed("a b " * 1250, "c a " * 1250)
    assert time.perf_counter() - start < 2
    assert [piece.kind for piece in pieces] == ["gone", "new"]
