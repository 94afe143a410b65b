"""The numbers behind an alert, as rows that people can read. No database."""

from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from horses.presenters.alert_evidence import evidence_shown, label_of
from horses.presenters.alert_evidence_values import value_words


def rows(evidence: dict[str, Any]) -> dict[str, str]:
    shown = evidence_shown(evidence)
    return {row.label: row.value for row in (*shown.numbers, *shown.allowed)}


def test_values_carry_the_unit_of_their_quantity() -> None:
    assert rows({"quantity": "toe_angle", "band_low": 50.0, "past_edge": 1.52}) == {
        "What is measured": "toe angle",
        "Band, lower end": "50°",
        "Past the edge by": "1.5°",
    }
    assert rows({"quantity": "toe_length", "band_low": 80.0})["Band, lower end"] == "80 mm"


def test_units_in_names_are_shown_with_the_value() -> None:
    assert rows({"heel_height_mm": 4.0, "weight_kg": 512}) == {
        "Heel height": "4 mm",
        "Weight": "512 kg",
    }


def test_what_was_allowed_for_has_a_table_of_its_own() -> None:
    shown = evidence_shown({"quantity": "toe_angle", "detectable_change": 2.8, "visits": 5})
    assert [row.value for row in shown.allowed] == ["2.8°"]
    assert [row.value for row in shown.numbers] == ["toe angle", "5"]


def test_readings_are_listed_with_their_day_and_method() -> None:
    reading = {
        "reading": "abc",
        "value": 48.5,
        "taken_on": "2026-10-12",
        "method": "gauge",
        "trim_state": "after",
        "taken_by": "Finn",
    }
    (listing,) = evidence_shown({"quantity": "toe_angle", "readings": [reading]}).listings
    assert listing.title == "Readings"
    assert listing.columns == ("Value", "Day", "Method", "Trim", "By")
    assert listing.rows == (("48.5°", "12 Oct 2026", "gauge", "after the trim", "Finn"),)


def test_a_list_with_many_columns_stands_as_rows() -> None:
    wide, narrow = evidence_shown(
        {"readings": [dict.fromkeys("abcde", 1)], "few": [{"a": 1}]}
    ).listings
    assert wide.is_wide
    assert wide.paired == [[("A", "1"), ("B", "1"), ("C", "1"), ("D", "1"), ("E", "1")]]
    assert not narrow.is_wide


def test_each_listed_finding_has_the_unit_of_its_own_quantity() -> None:
    findings = [
        {"quantity": "toe_angle", "change": [-3.0, -4.0, -2.0]},
        {"quantity": "toe_length", "change": None},
    ]
    (listing,) = evidence_shown({"lead": "toe_angle", "findings": findings}).listings
    assert listing.rows[0] == ("toe angle", "3° less (likely 2 to 4° less)")
    assert listing.rows[1] == ("toe length", "")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ([0.59, 0.2, 1.04], "0.6° more (likely 0.2 to 1° more)"),
        ([-0.59, -1.38, 0.21], "0.6° less (likely 1.4° less to 0.2° more)"),
        (-0.59, "0.6° less"),
        (0.01, "0°"),
    ],
)
def test_a_change_is_said_as_more_or_less(change: Any, words: str) -> None:
    assert value_words("rate_per_visit", change, "°") == words


def test_a_value_and_its_range_are_one_row() -> None:
    given = {"level": 48.13, "level_low": 47.52, "level_high": 48.81, "quantity": "toe_angle"}
    assert rows(given)["Where it stands now, growth allowed for"] == "48.1° (likely 47.5 to 48.8°)"
    assert len(rows(given)) == 2


@pytest.mark.parametrize(
    ("strength", "words"),
    [
        (29.96, "clear: well past the point where chance would explain it"),
        (3.9, "fairly clear: just past the point where chance would explain it"),
        (1.2, "less clear than when it was first seen"),
    ],
)
def test_how_clear_a_finding_is_stands_in_words(strength: float, words: str) -> None:
    shown = rows({"statistic": strength, "limit": 3.64})
    assert list(shown) == ["How clear it is"]
    assert shown["How clear it is"].startswith(words)


def test_what_was_not_there_has_no_row() -> None:
    nothing = {"doubtful": 0, "planned": False, "shoeing_changes": 0, "readers": 2}
    assert rows(nothing) == {"People and methods that measured": "2"}


def test_a_reading_keeps_the_decimals_it_was_entered_with() -> None:
    assert value_words("value", 50.25, "°") == "50.25°"


def test_a_group_inside_is_laid_open() -> None:
    assert rows({"finding": {"size": 5.5, "exceeds_error": True}}) == {
        "Amount found": "5.5",
        "More than measuring error alone": "yes",
    }


def test_ids_and_empty_values_are_not_shown() -> None:
    assert rows({"flag": "x7", "reading": "y8", "leaves_latest_on": "", "doubtful": None}) == {}


def test_a_foot_is_named_in_the_words_the_person_chose() -> None:
    person = SimpleNamespace(side_words="near_off")
    assert value_words("foot", "LF") == "left fore"
    assert value_words("foot", "LF", person=person) == "near fore"


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("taken_on", "2026-11-02", "2 Nov 2026"),
        ("taken_on", "2026-13-99", "2026-13-99"),
        ("raised_at", "2026-11-02T09:30:00+00:00", "2 Nov 2026, 09:30"),
        ("raised_at", "2026-11-02Tnever", "2026-11-02Tnever"),
        ("chance", 0.835, "84 in 100"),
        ("planned", False, "no"),
        ("visits", 5, "5"),
        ("count", 10**400, str(10**400)),
        ("interval_days", 49.0, "49 days"),
        ("counts", [3, 1, 2], "3, 1, 2"),
        ("taken_on", "0001-01-01", "1 Jan 1"),
    ],
)
def test_each_kind_of_value_in_words(key: str, value: Any, words: str) -> None:
    assert value_words(key, value) == words


def test_an_unknown_key_is_shown_under_its_own_name() -> None:
    assert label_of("toe_to_heel_ratio") == "Toe to heel ratio"
    assert label_of("first_seen_on") == "First seen"
    assert label_of("_on") == "Value"


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner, max_size=4)
    ),
    max_leaves=12,
)


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(st.text(max_size=12), json_values, max_size=5))
def test_any_evidence_at_all_can_be_shown(evidence: dict[str, Any]) -> None:
    shown = evidence_shown(evidence)
    for listing in shown.listings:
        assert all(len(row) == len(listing.columns) for row in listing.rows)
