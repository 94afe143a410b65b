from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace

import pytest
from django.template import Context, Template

from caseboard.lib.words import (
    date_words,
    days_ago,
    foot_label,
    get_item,
    listed,
    own_sides,
    own_words,
    role_words,
)

NEAR_OFF = SimpleNamespace(side_words="near_off")
TODAY = date(2026, 11, 2)


@pytest.mark.parametrize(
    ("foot", "plain", "chosen"),
    [
        ("LF", "left fore", "near fore"),
        ("RF", "right fore", "off fore"),
        ("LH", "left hind", "near hind"),
        ("RH", "right hind", "off hind"),
    ],
)
def test_a_foot_is_named_in_the_words_a_person_chose(foot: str, plain: str, chosen: str) -> None:
    assert foot_label(foot, NEAR_OFF) == chosen
    assert foot_label(foot) == plain


@pytest.mark.parametrize(
    ("words", "joined"),
    [
        ([], ""),
        (["owner"], "owner"),
        (["owner", "vet"], "owner and vet"),
        (["owner", "farrier", "vet"], "owner, farrier and vet"),
    ],
)
def test_names_are_joined_as_one_says_them(words: list[str], joined: str) -> None:
    assert listed(words) == joined


def test_a_stand_in_is_named_as_one() -> None:
    assert role_words("farrier", True) == "stand-in farrier"
    assert role_words("vet") == "vet"


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (0, "today"),
        (1, "yesterday"),
        (-1, "tomorrow"),
        (2, "2 days ago"),
        (20, "20 days ago"),
        (21, "3 weeks ago"),
        (83, "12 weeks ago"),
        (84, "3 months ago"),
        (729, "24 months ago"),
        (731, "2 years ago"),
        (-12, "in 12 days"),
        (-42, "in 6 weeks"),
    ],
)
def test_how_far_a_day_is(days: int, words: str) -> None:
    assert days_ago(TODAY - timedelta(days=days), TODAY) == words


def test_days_are_counted_by_the_calendar_and_not_by_hours() -> None:
    late = datetime(2026, 11, 1, 23, 50, tzinfo=UTC)
    assert days_ago(late, datetime(2026, 11, 2, 0, 10, tzinfo=UTC)) == "yesterday"


def test_no_day_has_no_words() -> None:
    assert days_ago(None, TODAY) == ""
    assert date_words(None) == ""


def test_a_day_is_written_out() -> None:
    assert date_words(TODAY) == "Mon 2 Nov 2026"
    assert date_words(datetime(2026, 11, 2, 9, tzinfo=UTC)) == "Mon 2 Nov 2026"


def test_a_missing_key_gives_nothing() -> None:
    assert get_item({"LF": 52}, "LF") == 52
    assert get_item({"LF": 52}, "RF") is None
    assert get_item(None, "RF") is None


def test_every_template_knows_the_words_without_loading_them() -> None:
    text = Template("{{ foot|foot_label:person }}").render(
        Context({"foot": "LF", "person": NEAR_OFF})
    )
    assert text == "near fore"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Left fore toe angle: slow change", "Near fore toe angle: slow change"),
        ("the right hind is bare", "the off hind is bare"),
        ("(left 52.5°, right 50°)", "(near 52.5°, off 50°)"),
        ("(left -4.5°, right \u22121.0°)", "(near -4.5°, off \u22121.0°)"),
        (
            "Front feet: left and right toe angles differ",
            "Front feet: near and off toe angles differ",
        ),
        ("shoes on the left fore and both hinds", "shoes on the near fore and both hinds"),
        ("3 days left. What was left after the trim", "3 days left. What was left after the trim"),
        ("Left off here for space", "Left off here for space"),
        ("has left the team; right after the trim", "has left the team; right after the trim"),
        ("left and the farrier came", "left and the farrier came"),
    ],
)
def test_a_sentence_of_the_programs_says_near_and_off(text: str, said: str) -> None:
    assert own_sides(text, NEAR_OFF) == said
    assert own_sides(text, SimpleNamespace(side_words="left_right")) == text
    assert own_sides(text) == text


def test_a_sentence_kept_with_a_hyphen_is_read_with_a_minus() -> None:
    text = "On 2026-11-02 it was -4.5° (left -4,5°, right 1°), sole -2 mm; items 3-5°."
    told = (
        "On 2026-11-02 it was \u22124.5° (left \u22124,5°, right 1°), sole \u22122 mm; items 3-5°."
    )
    assert own_words(text) == told
