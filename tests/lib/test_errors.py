from datetime import date

from caseboard.lib.errors import Conflict, Pair, TooMany


def test_a_conflict_pairs_what_i_typed_with_what_stands() -> None:
    conflict = Conflict({"text": "trim toes"}, {"text": "leave toes"})
    assert conflict.pairs() == [Pair("Text", "trim toes", "leave toes")]


def test_fields_that_both_left_alike_are_not_shown() -> None:
    conflict = Conflict({"a": "1", "b": "2"}, {"a": "1", "b": "3"})
    assert [pair.label for pair in conflict.pairs()] == ["B"]


def test_the_form_gives_its_own_words_for_a_field() -> None:
    conflict = Conflict({"planned_on": "x"}, {"planned_on": "y"})
    assert conflict.pairs({"planned_on": "Day of the visit"})[0].label == "Day of the visit"
    assert conflict.pairs()[0].label == "Planned on"


def test_values_of_any_kind_become_texts_and_nothing_becomes_the_empty_text() -> None:
    conflict = Conflict({"on": date(2026, 11, 2)}, {"on": None})
    assert conflict.pairs() == [Pair("On", "2026-11-02", "")]


def test_a_wait_is_never_shorter_than_a_second() -> None:
    assert TooMany(0).retry_after_s == 1
