"""The side view of a foot: which numbers belong together, and that the drawing keeps their angles."""

import re
from datetime import date, datetime, timedelta
from decimal import Decimal
from math import atan2, degrees

import pytest

from measurements.panels.side_view import SideStory, side_story
from measurements.queries.numbers import numbers_of
from measurements.series.foot_side import FootSide, foot_side
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db

PATH = re.compile(r"M(-?[\d.]+) (-?[\d.]+)L(-?[\d.]+) (-?[\d.]+)")


def take(cast: Cast, now: datetime, on: date, foot: str = "LF", **values: float) -> None:
    for quantity, value in values.items():
        state = {"trim_state": "after"}
        build.reading(cast.access(cast.farrier), now, foot, quantity, value, on, **state)


def story(cast: Cast, now: datetime, foot: str = "LF") -> SideStory | None:
    return side_story(numbers_of(cast.horse, today=now.date()), foot)


def side(cast: Cast, now: datetime, foot: str = "LF") -> FootSide:
    found = story(cast, now, foot)
    assert found is not None
    drawn = foot_side(found, "mm")
    assert drawn is not None
    return drawn


def slope_deg(path: str) -> float:
    x1, y1, x2, y2 = (float(number) for number in PATH.search(path).groups())  # type: ignore[union-attr]
    return degrees(atan2(-(y2 - y1), x2 - x1))


def a_year_ago(now: datetime) -> date:
    return now.date() - timedelta(days=365)


def test_the_lines_on_the_screen_have_the_angles_of_the_readings(cast: Cast, now: datetime) -> None:
    on = now.date()
    take(cast, now, a_year_ago(now), toe_angle=53, toe_length=80, heel_angle=46)
    take(cast, now, on, toe_angle=49.5, toe_length=85, heel_angle=43, pastern_angle=52)
    drawn = side(cast, now).drawn
    assert slope_deg(drawn.wall) == pytest.approx(49.5, abs=0.1)
    assert slope_deg(drawn.pastern) == pytest.approx(52, abs=0.1)
    toe_then, heel_then = (f"M{part}" for part in drawn.then.split("M")[1:])
    assert slope_deg(toe_then) == pytest.approx(53, abs=0.1)
    assert slope_deg(heel_then) == pytest.approx(46, abs=0.15)


def test_the_aim_is_the_vets_band_after_the_trim(cast: Cast, now: datetime) -> None:
    take(cast, now, now.date(), toe_angle=49, toe_length=85)
    build.target(cast.access(cast.vet), now, low=Decimal(50), high=Decimal(54))
    lines = [f"M{part}" for part in side(cast, now).drawn.aim.split("M")[1:]]
    angles = [180 + slope_deg(line) for line in lines]
    assert (angles[0], angles[-1]) == pytest.approx((50, 54), abs=0.15)


def test_without_a_length_nothing_is_drawn(cast: Cast, now: datetime) -> None:
    take(cast, now, now.date(), toe_angle=49)
    assert story(cast, now) is None


def test_a_length_of_long_ago_is_not_taken_for_todays_foot(cast: Cast, now: datetime) -> None:
    take(cast, now, now.date() - timedelta(days=60), toe_length=85)
    take(cast, now, now.date(), toe_angle=49)
    assert story(cast, now) is None


def test_then_is_the_same_moment_of_a_cycle_about_a_year_before(cast: Cast, now: datetime) -> None:
    for days in (500, 360, 200, 40, 0):
        on = now.date() - timedelta(days=days)
        take(cast, now, on, toe_angle=50, toe_length=85)
    found = story(cast, now)
    assert found is not None
    assert found.then is not None
    assert (found.now.on - found.then.on).days == 360


def test_last_month_is_not_called_then(cast: Cast, now: datetime) -> None:
    for days in (40, 0):
        take(cast, now, now.date() - timedelta(days=days), toe_angle=50, toe_length=85)
    found = story(cast, now)
    assert found is not None
    assert found.then is None


def test_a_toe_that_moved_no_more_than_the_error_is_not_said_to_have_moved(
    cast: Cast, now: datetime
) -> None:
    take(cast, now, a_year_ago(now), toe_angle=50, toe_length=85)
    take(cast, now, now.date(), toe_angle=49.5, toe_length=85.5)
    assert side(cast, now).sentences == ()


def test_a_toe_that_moved_further_is_said_with_millimetres(cast: Cast, now: datetime) -> None:
    take(cast, now, a_year_ago(now), toe_angle=53, toe_length=80)
    take(cast, now, now.date(), toe_angle=47, toe_length=88)
    (sentence,) = side(cast, now).sentences
    assert sentence.startswith("The toe stands 12 mm further out than ")


@pytest.mark.parametrize(
    ("toe", "words"),
    [
        (52.0, "Hoof and pastern are in line, as far as the measuring can tell."),
        (48.0, "Broken back: hoof and pastern 4° apart; it may be less by measuring error alone."),
        (44.0, "Broken back: hoof and pastern 8° apart."),
        (60.0, "Broken forward: hoof and pastern 8° apart."),
    ],
)
def test_a_break_is_said_with_its_doubt(toe: float, words: str, cast: Cast, now: datetime) -> None:
    take(cast, now, now.date(), toe_angle=toe, toe_length=85, pastern_angle=52)
    assert side(cast, now).sentences == (words,)


def test_a_right_foot_says_that_it_is_mirrored(cast: Cast, now: datetime) -> None:
    take(cast, now, now.date(), "RF", toe_angle=50, toe_length=85)
    assert "as in a mirror" in side(cast, now, "RF").caption


def test_a_guessed_heel_is_said_to_be_guessed(cast: Cast, now: datetime) -> None:
    take(cast, now, now.date(), toe_angle=50, toe_length=85, heel_angle=45)
    found = side(cast, now)
    assert found.drawn.hairline_assumed
    assert "How far back the heel stands is guessed." in found.caption


def test_a_foot_nobody_shod_stands_on_no_shoe(cast: Cast, now: datetime) -> None:
    take(cast, now, now.date(), toe_angle=50, toe_length=85, heel_angle=45)
    assert side(cast, now).drawn.shoe == ""
