"""An alert in one plain sentence, made of the numbers it was raised with."""

from datetime import UTC, datetime
from itertools import product
from typing import Any

import pytest

from caseboard.glance.asks import ASKS, Soon, ask_of, rank_of
from caseboard.glance.headline import (
    aside,
    change_at_once,
    feet_of,
    headline,
    move_words,
    rate_a_year,
)
from horses.models import Alert, Role
from measurements.hoof.shape_finding import DANGERS, ShapeRule

NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)


def alert(rule: str, subject: str = "LF", danger: bool = False, **evidence: Any) -> Alert:
    return Alert(
        raised_at=NOW,
        rule=rule,
        subject=subject,
        danger=danger,
        title="Its own title",
        evidence=evidence,
    )


def drift(quantity: str, rate: float, *, interval_days: float = 49.0) -> Alert:
    finding = {"quantity": quantity, "rate_per_visit": [rate, rate - 0.1, rate + 0.1]}
    return alert("foot.drift", lead=quantity, interval_days=interval_days, findings=[finding])


def film(rule: str, **numbers: float) -> Alert:
    reading = {"taken_on": "2026-10-22"}
    return alert(rule, danger=True, finding={"evidence": numbers, "size": 1}, readings=[reading])


@pytest.mark.parametrize(
    ("quantity", "rate", "words"),
    [
        ("toe_angle", -0.6, "Left fore: the toe is creeping forward, about 4.5° in a year"),
        ("toe_angle", 0.5, "Left fore: the toe is getting steeper, about 3.5° in a year"),
        ("heel_angle", -0.4, "Left fore: the heel is getting lower, about 3° in a year"),
        ("heel_angle", 0.4, "Left fore: the heel is getting steeper, about 3° in a year"),
    ],
)
def test_a_slow_change_says_what_the_foot_does_and_what_it_comes_to_in_a_year(
    quantity: str, rate: float, words: str
) -> None:
    assert headline(drift(quantity, rate)) == words


def test_the_year_counts_the_visits_of_this_horse() -> None:
    assert "about 8°" in headline(drift("toe_angle", -0.6, interval_days=28))


def test_todays_numbers_speak_before_those_of_the_day_it_was_raised() -> None:
    was = drift("toe_angle", -0.6)
    was.now_evidence = drift("toe_angle", 0.5).evidence
    assert "steeper" in headline(was)


def test_a_jump_says_both_values_and_the_days_between() -> None:
    readings = [{"value": 51.5, "taken_on": "2026-11-10"}, {"value": 41, "taken_on": "2026-11-24"}]
    jump = alert("reading.jump", "RF:toe_angle", quantity="toe_angle", readings=readings)
    assert headline(jump) == "Right fore: toe angle 51.5°, 14 days later 41°"


def test_a_jump_within_a_day_does_not_count_days() -> None:
    readings = [{"value": 51.5, "taken_on": "2026-11-24"}, {"value": 41, "taken_on": "2026-11-24"}]
    jump = alert("reading.jump", quantity="toe_angle", readings=readings)
    assert headline(jump) == "Left fore: toe angle 51.5°, the same day 41°"


def test_a_film_says_its_number_and_beside_it_of_when_it_is() -> None:
    sole = film("shape.thin_sole", sole_depth_mm=7)
    assert headline(sole) == "Left fore: thin sole, 7 mm"
    assert aside(sole) == "film of 22 Oct 2026"
    bone = film("shape.negative_palmar_angle", palmar_angle_deg=-4.5)
    assert headline(bone) == "Left fore: coffin bone below level, −4.5°"
    steep = film("shape.steep_palmar_angle", palmar_angle_deg=12)
    assert headline(steep) == "Left fore: coffin bone too steep, 12°"


def test_a_band_says_how_far_outside_and_on_which_side() -> None:
    under = alert("band.outside", "LF:toe_angle:after", quantity="toe_angle", past_edge=2.5)
    under.evidence["side"] = "low"
    assert headline(under) == "Left fore: toe angle 2.5° under the aim"
    under.evidence["side"] = "high"
    assert headline(under) == "Left fore: toe angle 2.5° over the aim"


@pytest.mark.parametrize(
    ("scale", "words"),
    [
        ("AAEP, 0 to 5", "Lame, grade 3 of 5, up from 1"),
        ("0 to 10", "Lame, grade 3 of 10, up from 1"),
    ],
)
def test_a_grade_is_said_with_its_scale(scale: str, words: str) -> None:
    lame = alert("lameness.rise", "aaep", True, scale=scale, grade=3, seen_on="2026-10-22")
    lame.evidence["grade_before"] = 1
    assert headline(lame) == words
    assert aside(lame) == "seen 22 Oct 2026"


def test_evidence_of_an_earlier_version_leaves_the_alerts_own_title() -> None:
    for rule in ASKS:
        assert headline(alert(rule)) == "Its own title"


def test_a_pair_names_both_feet_and_what_is_no_foot_names_none() -> None:
    assert feet_of(alert("shape.uneven_pair", "LF-RF")) == ("LF", "RF")
    assert feet_of(alert("band.outside", "LH:toe_angle:after")) == ("LH",)
    assert feet_of(alert("lameness.rise", "aaep")) == ()


def test_every_shape_has_words_of_its_own_and_what_a_film_shows_is_asked_of_the_vet() -> None:
    for rule in ShapeRule:
        ask = ASKS[f"shape.{rule}"]
        assert ask.foot_word
        assert (ask.ring == Role.VET) == (rule in DANGERS)


def test_a_rule_that_nobody_gave_words_still_asks_to_be_looked_at_and_stands_last() -> None:
    unheard = alert("brand.new")
    assert ask_of(unheard).soon is Soon.NEXT
    assert rank_of("brand.new") > max(rank_of(rule) for rule in ASKS)


@pytest.mark.parametrize(
    ("chance", "outside", "words"),
    [(0.9, 0.1, "leaves the aim about March 2027"), (0.4, 0.1, ""), (0.9, 0.8, "")],
)
def test_a_band_that_will_likely_be_left_is_said_beside_the_change(
    chance: float, outside: float, words: str
) -> None:
    slow = drift("toe_angle", -0.6)
    slow.evidence["forecasts"] = [
        {"likely_on": "2027-03-14", "chance": chance, "outside_chance": outside},
        {"likely_on": None, "chance": 0.9, "outside_chance": 0.0},
    ]
    assert aside(slow) == words


def test_a_band_that_is_left_this_month_or_the_next_has_no_month() -> None:
    slow = drift("toe_angle", -0.6)
    slow.evidence["forecasts"] = [{"likely_on": "2026-11-20", "chance": 0.9, "outside_chance": 0.1}]
    assert aside(slow) == "about to leave the aim"


def test_a_change_that_may_be_nothing_is_said_to_go_nowhere() -> None:
    """Its range holds nought: "creeping forward" would be a claim."""
    unsure = drift("toe_angle", -0.05)
    assert headline(unsure) == "Its own title"
    assert move_words(unsure) == ""
    assert rate_a_year(unsure) is None


def test_what_moves_by_little_never_moves_by_nought() -> None:
    finding = {"quantity": "toe_angle", "rate_per_visit": [-0.02, -0.03, -0.01]}
    slow = alert("foot.drift", lead="toe_angle", interval_days=49.0, findings=[finding])
    assert headline(slow) == "Left fore: the toe is creeping forward, under 0.5° in a year"


OF_ANOTHER_VERSION: list[dict[str, Any]] = [
    {},
    {"interval_days": 49},
    {"interval_days": 49, "lead": "toe_angle"},
    {"interval_days": 49, "lead": "toe_angle", "findings": [{"quantity": "toe_angle"}]},
    {"interval_days": "x", "lead": "toe_angle", "findings": None},
    {
        "interval_days": 49,
        "lead": "toe_length",
        "findings": [{"quantity": "toe_length", "rate_per_visit": [-1, -2, -0.5]}],
    },
    {"seen_on": None, "grade": 3, "scale": None},
    {"readings": [{"taken_on": None}]},
    {"readings": [{}]},
    {"forecasts": None, "finding": None},
    {"forecasts": [{"likely_on": "soon", "chance": 0.9, "outside_chance": 0}]},
]


@pytest.mark.parametrize("rule", [*ASKS, "of.tomorrow"])
def test_evidence_of_another_version_never_keeps_a_board_from_being_read(rule: str) -> None:
    for subject, evidence in product(("LF", ""), OF_ANOTHER_VERSION):
        odd = alert(rule, subject, danger=rule.startswith("shape."), **evidence)
        assert headline(odd)
        assert isinstance(aside(odd) + move_words(odd), str)
        for found in (rate_a_year(odd), change_at_once(odd)):
            assert found is None or len(found) == 2
