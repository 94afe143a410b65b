"""Horses one a line, in the words of the trade: understood, shown, and nothing lost."""

from datetime import date

import pytest

from horses.domain.horse_lines import ALL, FRONTS, HINDS, HorseLine, horse_lines
from horses.domain.typed_days import day_typed

TODAY = date(2026, 11, 29)  # a Sunday


def one(text: str) -> HorseLine:
    [line] = horse_lines(text, today=TODAY)
    return line


@pytest.mark.parametrize(
    ("text", "understood"),
    [
        ("Pebble", []),
        ("Pebble, 2015", ["born 2015"]),
        ("Pebble, 11 yo", ["born about 2015"]),
        ("Pebble b. 2015 fronts", ["born 2015", "front shoes"]),
        ("Pebble, born 12 May 2015, mare", ["born 12 May 2015", "mare"]),
        ("Pebble: unshod", ["barefoot"]),
        ("Pebble - shod all round - trimmed 3 Nov", ["shod all round", "last trimmed 3 Nov 2026"]),
        ("Pebble shod 3 Nov", ["shod all round", "last trimmed 3 Nov 2026"]),
        ("Pebble, hinds only, done 6 weeks ago", ["hind shoes only", "last trimmed 18 Oct 2026"]),
        ("Pebble\tbarefoot\tlast trimmed 2026-10-05", ["barefoot", "last trimmed 5 Oct 2026"]),
    ],
)
def test_a_line_is_understood_by_trade_words(text: str, understood: list[str]) -> None:
    line = one(text)
    assert (line.name, line.understood) == ("Pebble", understood)
    assert (line.problems, line.doubts) == ([], [])


@pytest.mark.parametrize("name", ["Bare Necessity", "Old May", "Shod Surprise", "2nd Thought"])
def test_a_name_that_sounds_like_the_trade_stays_a_name(name: str) -> None:
    assert one(f"{name}, trimmed 3 Nov").name == name
    assert one(name).name == name


@pytest.mark.parametrize(
    ("words", "feet"),
    [("bare", ()), ("front shoes", FRONTS), ("shod behind", HINDS), ("full set", ALL)],
)
def test_how_it_is_shod_is_the_set_of_shod_feet(words: str, feet: tuple[str, ...]) -> None:
    assert one(f"Pebble, {words}").shod == feet


def test_what_is_not_understood_is_kept_word_by_word() -> None:
    line = one("Pebble, 2015, kicks out behind left hind, trimmed 3 Nov")
    assert line.not_read == "kicks out behind left hind"
    assert line.trimmed_on == date(2026, 11, 3)
    assert line.shod is None
    assert "kicks out" in line.doubts[0]


def test_not_shod_is_barefoot_and_never_shod() -> None:
    assert one("Pebble, not shod").shod == ()
    assert one("Pebble, unshod").shod == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Pebble, 2031", "still to come"),
        ("Pebble, 1950", "60 years"),
        ("Pebble, trimmed 31/2", "not a day"),
        ("Pebble, 2020, trimmed 3 Nov 2019", "before it was born"),
        (f"{'P' * 81}", "longer than 80"),
        (", 2015", "no name"),
    ],
)
def test_a_line_that_cannot_be_says_why(text: str, words: str) -> None:
    assert words in " ".join(one(text).problems)


def test_a_year_that_is_long_ago_and_a_name_twice_are_asked_about() -> None:
    assert "more than a year ago" in one("Pebble, trimmed 3 Nov 2024").doubts[0]
    lines = horse_lines("Pebble\n\npebble, 2015", today=TODAY)
    assert [line.doubts for line in lines] == [[], ["This name stands here twice."]]


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today", TODAY),
        ("yesterday", date(2026, 11, 28)),
        ("Tuesday", date(2026, 11, 24)),
        ("last sunday", date(2026, 11, 22)),
        ("3 Nov", date(2026, 11, 3)),
        ("3rd of November 2025", date(2025, 11, 3)),
        ("Nov 3", date(2026, 11, 3)),
        ("12/10", date(2026, 10, 12)),
        ("12.10.25", date(2025, 10, 12)),
        ("3 Dec", date(2025, 12, 3)),
        ("two weeks ago", date(2026, 11, 15)),
        ("a month ago", date(2026, 10, 30)),
        ("2026-10-05", date(2026, 10, 5)),
    ],
)
def test_a_day_without_a_year_is_the_last_one_that_has_been(text: str, day: date) -> None:
    assert day_typed(text, today=TODAY) == day


@pytest.mark.parametrize("text", ["", "soon", "31/2", "0 weeks ago", "29 Feb", "Monkey", "13/13"])
def test_what_is_no_day_is_none(text: str) -> None:
    assert day_typed(text, today=TODAY) is None


@pytest.mark.parametrize("words", ["kicks behind", "sore in front", "good all round", "bare patch"])
def test_words_that_only_sound_like_shoes_say_nothing_of_shoes(words: str) -> None:
    line = one(f"Pebble, {words}")
    assert (line.shod, line.not_read) == (None, words)
