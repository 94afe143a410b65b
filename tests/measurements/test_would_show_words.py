"""The words for a foot in which nothing was found, and for forecasts that rest on little."""

from datetime import date

import pytest

from horses.presenters.alert_evidence_values import value_words
from measurements.hoof.growth import Growth
from measurements.verdicts.borrowed import borrowed_words
from measurements.verdicts.words import quiet_words
from measurements.verdicts.would_show_words import (
    NOT_KNOWN,
    TOO_FEW,
    drift_would_show,
    would_show_short,
)

TODAY = date(2026, 11, 28)


def shown(alike: float, **alone: float) -> dict[str, object]:
    return {
        "would_show": {"since_on": "2026-05-04", "visits": 4, "alike": alike, "alone": alone},
        "state": "quiet",
        "visits_seen": 9,
        "visits_needed": 3,
        "findings": [],
    }


def test_one_angle_names_its_change_its_time_and_its_chance() -> None:
    words = quiet_words("LF", "toe_angle", shown(3.3, toe_angle=3.3), TODAY)
    assert (
        "A slow change of about 3.3° since early May would have shown four times in five" in words
    )
    assert "a smaller or later one may not have" in words


def test_of_two_angles_the_one_alone_is_told_too() -> None:
    words = drift_would_show("LF", "toe_angle", shown(2.4, toe_angle=3.4, heel_angle=3.6), TODAY)
    assert "about 2.4°" in words
    assert "of the toe angle alone one of about 3.4°" in words


@pytest.mark.parametrize(
    ("result", "words"),
    [({"would_show": None}, TOO_FEW), ({}, NOT_KNOWN)],
    ids=["few visits", "a verdict of an earlier version"],
)
def test_where_nothing_is_known_no_figure_is_told(result: dict[str, None], words: str) -> None:
    assert drift_would_show("LF", "toe_angle", result, TODAY) == words


def test_a_figure_of_no_use_is_not_told_as_a_power() -> None:
    words = drift_would_show("LF", "toe_angle", shown(6.4, toe_angle=6.4), TODAY)
    assert "four times in five" not in words
    assert "even a slow change of about 6.4° might not have shown" in words


def test_paper_says_what_would_have_shown_or_that_it_was_too_little() -> None:
    assert "3.3° would have shown 4 times in 5" in would_show_short("toe_angle", 3.3)
    assert "too few visits" in would_show_short("toe_angle", None)


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (1.0, "over 99 in 100"),
        (0.0, "under 1 in 100"),
        (0.995, "over 99 in 100"),
        (0.4, "40 in 100"),
    ],
)
def test_no_chance_is_told_as_all_or_none(chance: float, words: str) -> None:
    assert value_words("chance", chance) == value_words("outside_chance", chance) == words


def test_a_growth_of_another_quantity_is_named_until_its_own_is_known() -> None:
    assert "borrowed from the toe angle" in borrowed_words("palmar_angle", Growth(-3.0, 1.5))
    assert borrowed_words("palmar_angle", Growth(-2.0, 0.6)) == ""
    assert borrowed_words("toe_angle", Growth(-3.0, 0.8)) == ""
