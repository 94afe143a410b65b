"""What is said of a level at the edge of its band agrees with the reading beside it."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from measurements.models import Target
from measurements.verdict_words import forecast_words

TODAY = date(2026, 11, 2)


def band(moment: str = "after") -> Target:
    return Target(
        foot="LF", quantity="toe_angle", moment=moment, low=Decimal(50), high=Decimal(54),
        set_role="vet",
    )  # fmt: skip


def words(moment: str = "after", **changes: Any) -> str:
    found = {
        "quantity": "toe_angle", "moment": moment, "low": 50, "high": 54, "edge": "low",
        "chance": 0.95, "outside_chance": 0.6, "earliest_on": "2026-11-01",
        "likely_on": "2026-11-01", "latest_on": "2026-12-20", **changes,
    }  # fmt: skip
    return forecast_words({"forecasts": [found]}, [band(moment)], TODAY)


def test_a_level_about_at_the_edge_is_called_so() -> None:
    assert words() == (
        " Just after the trim the level is about at the lower edge of the vet's band of 50 to 54°"
        " now."
    )


def test_a_level_surely_outside_is_called_so() -> None:
    assert " the level is under the vet's band of 50 to 54° now" in words(outside_chance=0.97)


def test_the_upper_edge_is_named() -> None:
    assert "upper edge" in words(edge="high")
    assert "is over the vet's band" in words(edge="high", outside_chance=0.97)


def test_the_end_of_the_cycle_is_named() -> None:
    assert words("before").startswith(" At the end of the cycle the level is about at the lower")


@pytest.mark.parametrize("changes", [{"chance": 0.4}, {"earliest_on": None}])
def test_what_is_not_likely_is_not_said(changes: dict[str, Any]) -> None:
    assert words(**changes) == ""
