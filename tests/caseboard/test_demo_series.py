"""The demo's readings and days, made from a seed."""

from datetime import timedelta

import pytest

from caseboard.demo import story_hazel
from caseboard.demo.days import Days
from caseboard.demo.series import series
from caseboard.demo.visits import _eighths
from tests.caseboard.demo_told import NOW


def test_the_same_seed_gives_the_same_readings() -> None:
    days = [0, 49, 98]
    first = series("hazel-1242", story_hazel.FEET, days)
    assert first == series("hazel-1242", story_hazel.FEET, days)
    assert first != series("another", story_hazel.FEET, days)


def test_angles_are_read_to_half_a_degree_and_lengths_to_a_millimetre() -> None:
    for value in series("hazel-1242", story_hazel.FEET, [0, 49])[1]:
        step = 0.5 if value.quantity.endswith("angle") else 1
        assert value.number % step == 0


def test_a_shod_foot_falls_until_the_next_trim_and_a_bare_one_stays() -> None:
    days = list(range(0, 56 * 40, 56))
    fell = {"LF": 0.0, "LH": 0.0}
    for visit in series("falling", story_hazel.FEET, days)[2:10:2]:
        found = {(v.foot, v.trim_state): v.number for v in visit if v.quantity == "toe_angle"}
        for foot in fell:
            fell[foot] += (found[foot, "after"] - found[foot, "before"]) / 4
    assert fell["LF"] == pytest.approx(3, abs=1.5)
    assert fell["LH"] == pytest.approx(0, abs=1.5)


@pytest.mark.parametrize("days", range(7))
def test_the_farrier_came_on_a_tuesday_three_to_nine_days_back(days: int) -> None:
    now = NOW + timedelta(days=days)
    last = Days(now).last_farrier_day
    assert last.weekday() == 1
    assert timedelta(days=3) <= now.date() - last <= timedelta(days=9)


def test_nothing_happens_after_now() -> None:
    days = Days(NOW)
    assert days.at(NOW.date(), "23:00") == NOW


@pytest.mark.parametrize(
    ("length_mm", "text"), [(82.55, "3 1/4"), (76.2, "3"), (80, "3 1/8"), (101, "4")]
)
def test_inches_are_written_to_the_nearest_eighth(length_mm: float, text: str) -> None:
    assert _eighths(length_mm) == text
