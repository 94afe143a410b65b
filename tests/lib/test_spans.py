"""Plurals and spans of time are made in one place, and are right there."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings

from caseboard.lib.spans import (
    age_words,
    counted,
    one_or,
    roughly_words,
    waited_words,
    weeks_words,
)

# How a plural is made by hand: an "s" that comes and goes, a unit behind a number that can be one.
BY_HAND = re.compile(
    r"""['"]s['"] (?:\*|if)|['"]['"] if [^'"]{1,40} (?:==|>) 1 else ['"]e?s['"]|f?['"](?:1|one|One|a) \w+['"] if """
    r"""|\{[^{}'"]*\} (?:seconds|minutes|hours|weeks|months|years)\b"""
)
# Counted in more than one everywhere they stand: limits and settings of ours.
FIXED = re.compile(r"\{(?:SHORTEST|LONGEST|OLDEST|FEWEST|MOST|MAX)_\w+\}|\{weeks:\.1f\}")


@pytest.mark.parametrize(
    ("number", "words"), [(0, "0 flags"), (1, "1 flag"), (2, "2 flags"), (2.5, "2.5 flags")]
)
def test_one_thing_has_no_s(number: float, words: str) -> None:
    assert counted(number, "flag") == words


def test_a_plural_of_its_own_is_given() -> None:
    assert (counted(1, "reply", "replies"), counted(3, "reply", "replies")) == (
        "1 reply",
        "3 replies",
    )


def test_the_verb_goes_with_the_number() -> None:
    assert [one_or(n, "is", "are") for n in (0, 1, 2)] == ["are", "is", "are"]


@pytest.mark.parametrize(
    ("span", "words"),
    [
        (timedelta(seconds=20), "0 minutes"),
        (timedelta(minutes=1), "1 minute"),
        (timedelta(minutes=59, seconds=59), "59 minutes"),
        (timedelta(hours=1), "1 hour"),
        (timedelta(hours=1, minutes=59), "1 hour"),
        (timedelta(hours=23, minutes=59), "23 hours"),
        (timedelta(days=1), "1 day"),
        (timedelta(days=1, hours=23), "1 day"),
        (timedelta(days=12), "12 days"),
        (timedelta(seconds=-5), "0 minutes"),
    ],
)
def test_a_wait_is_said_in_its_largest_whole_unit(span: timedelta, words: str) -> None:
    assert waited_words(span) == words


@pytest.mark.parametrize(
    ("days", "words"),
    [(0, "0 days"), (1, "1 day"), (7, "1 week"), (45, "6 weeks and 3 days"), (49, "7 weeks")],
)
def test_days_as_weeks(days: int, words: str) -> None:
    assert weeks_words(days) == words


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (1, "1 day"),
        (20, "20 days"),
        (21, "3 weeks"),
        (84, "3 months"),
        (730, "2 years"),
    ],
)
def test_far_days_are_told_roughly(days: int, words: str) -> None:
    assert roughly_words(days) == words


@pytest.mark.parametrize(("months", "words"), [(1, "1 month"), (23, "23 months"), (24, "2 years")])
def test_an_age(months: int, words: str) -> None:
    assert age_words(months) == words


def test_no_line_of_the_program_makes_a_plural_by_hand() -> None:
    root = Path(settings.BASE_DIR)
    found = []
    for app in ("caseboard", "horses", "measurements"):
        for path in sorted((root / app).rglob("*.py")):
            if path.name == "spans.py" or "migrations" in path.parts:
                continue
            for number, line in enumerate(path.read_text().splitlines(), 1):
                if BY_HAND.search(FIXED.sub("", line)):
                    found.append(f"{path.relative_to(root)}:{number}: {line.strip()}")
    assert found == []
