"""When a level leaves its band, in words: likely time, range and chances; at the edge and inside."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from measurements.models import Target
from measurements.verdicts.leaving import Leaving, in_ten, leaving_sentences
from measurements.verdicts.words import forecast_words

TODAY = date(2026, 11, 2)
BAND = "the vet's band of 50 to 54°"


def band(moment: str = "after") -> Target:
    return Target(
        foot="LF",
        quantity="toe_angle",
        moment=moment,
        low=Decimal(50),
        high=Decimal(54),
        set_role="vet",
    )


def crossing(moment: str = "after", **changes: Any) -> dict[str, Any]:
    return {
        "quantity": "toe_angle",
        "moment": moment,
        "low": 50,
        "high": 54,
        "edge": "low",
        "chance": 0.97,
        "outside_chance": 0.02,
        "earliest_on": "2026-12-24",
        "likely_on": "2027-01-25",
        "latest_on": "2027-03-04",
        **changes,
    }


def words(moment: str = "after", state: str = "drift", **changes: Any) -> str:
    result = {"state": state, "findings": [], "forecasts": [crossing(moment, **changes)]}
    return forecast_words(result, [band(moment)], TODAY)


def when(**changes: Any) -> str:
    days = {
        "earliest_on": date(2026, 12, 24),
        "likely_on": date(2027, 1, 25),
        "latest_on": date(2027, 3, 4),
        **changes,
    }
    return leaving_sentences("the band", Leaving(**days), TODAY)


def test_a_forecast_says_the_likely_time_and_its_range() -> None:
    assert words() == (
        f" If it goes on, it leaves {BAND} just after the trim, most likely in late January"
        " (between late December and early March)."
    )


def test_a_range_that_has_begun_says_the_chance_that_it_is_out_already() -> None:
    said = words(earliest_on="2026-10-20", outside_chance=0.38)
    assert "most likely in late January and hardly later than early March." in said
    assert said.endswith(" It may have left it already: about 4 in 10.")
    assert "November" not in said


def test_a_likely_day_that_has_passed_is_told_as_the_next_trim() -> None:
    said = words(earliest_on="2026-09-20", likely_on="2026-10-30", outside_chance=0.45)
    assert "most likely by the next trim and hardly later than early March." in said


def test_the_chance_that_it_does_not_leave_the_band_is_said() -> None:
    said = words(chance=0.81, latest_on=None)
    assert said.endswith(
        "most likely in late January and hardly before late December. It may also stay inside for"
        " two years: about 2 in 10."
    )


def test_a_chance_of_less_than_one_in_twenty_is_not_said() -> None:
    assert "in 10" not in words(chance=0.96, outside_chance=0.04, earliest_on="2026-10-20")


def test_a_line_without_chances_says_only_what_may_be() -> None:
    assert when(earliest_on=date(2026, 10, 1)).endswith(" It may have left it already.")
    assert when(latest_on=None).endswith(" It may also stay inside for two years.")


def test_a_range_within_one_part_of_a_month_is_said_once() -> None:
    said = when(earliest_on=date(2027, 1, 22), latest_on=date(2027, 1, 29))
    assert said == "If it goes on, it leaves the band, most likely in late January."


def test_a_drift_that_more_likely_stays_says_how_likely_it_leaves() -> None:
    assert words(chance=0.3, earliest_on="2026-12-24", likely_on=None, latest_on=None) == (
        f" If it goes on, it may leave {BAND} just after the trim within two years: about 3 in 10."
    )


def test_a_drift_away_from_the_edges_is_told_without_comfort() -> None:
    said = words(chance=0.01, earliest_on=None, likely_on=None, latest_on=None)
    assert said.startswith(" Going on like that it is unlikely to leave")


def test_a_step_is_over_and_has_no_forecast() -> None:
    assert words(state="step", chance=0.3, likely_on=None, latest_on=None) == ""


def test_of_two_bands_the_one_that_is_left_more_surely_speaks() -> None:
    result = {
        "state": "drift",
        "findings": [],
        "forecasts": [crossing(chance=0.7), crossing("before")],
    }
    said = forecast_words(result, [band(), band("before")], TODAY)
    assert "at the end of the cycle" in said


def test_without_a_band_it_is_said_where_a_year_leads() -> None:
    finding = {"quantity": "toe_angle", "rate_per_visit": [-0.56, -0.8, -0.3]}
    result = {
        "state": "drift",
        "lead": "toe_angle",
        "interval_days": 49.0,
        "forecasts": [],
        "findings": [finding],
    }
    assert forecast_words(result, [], TODAY) == (
        " If it goes on, it falls about 4.2° in a year. Nobody has set a band for it."
    )
    assert forecast_words({**result, "state": "step"}, [], TODAY) == ""


def test_a_level_about_at_the_edge_says_how_likely_it_is_past_it() -> None:
    assert words(outside_chance=0.6) == (
        f" Just after the trim the level is about at the lower edge of {BAND} now, growth and"
        " single readings allowed for: about 6 in 10 that it is under it already."
    )


def test_a_level_surely_outside_is_called_so() -> None:
    assert " the level is under the vet's band of 50 to 54° now" in words(outside_chance=0.97)


def test_the_upper_edge_is_named() -> None:
    assert "upper edge" in words(edge="high", outside_chance=0.6)
    assert "is over the vet's band" in words(edge="high", outside_chance=0.97)


def test_the_end_of_the_cycle_is_named() -> None:
    said = words("before", outside_chance=0.6)
    assert said.startswith(" At the end of the cycle the level is about at the lower")


@pytest.mark.parametrize(
    ("chance", "said"), [(0.0, "about 1 in 10"), (0.44, "about 4 in 10"), (0.99, "about 9 in 10")]
)
def test_nothing_is_told_as_sure(chance: float, said: str) -> None:
    assert in_ten(chance) == said
