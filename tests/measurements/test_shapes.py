"""Which readings the shape rules are asked about."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from horses.services.horses import weight_record
from measurements.queries.numbers import numbers_of
from measurements.rules.shapes import ShapeSeen, shapes_seen
from measurements.services.readings import readings_record
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def _seen(cast: Cast) -> dict[tuple[str, str], ShapeSeen]:
    found = shapes_seen(numbers_of(cast.horse, today=date(2026, 11, 2)))
    return {(str(seen.finding.rule), seen.subject): seen for seen in found}


def _day(
    cast: Cast, now: datetime, on: date, *rows: tuple[str, str, float], state: str = "after"
) -> None:
    taken = [build.taken(foot, quantity, value, trim_state=state) for foot, quantity, value in rows]
    readings_record(access=cast.access(cast.farrier), taken_on=on, readings=taken, now=now)


UNDERRUN = (("LF", "toe_angle", 52.0), ("LF", "heel_angle", 38.0))
STRAIGHT = (("LF", "toe_angle", 52.0), ("LF", "heel_angle", 52.0))


def test_toe_and_heel_of_one_day_are_compared(cast: Cast, now: datetime) -> None:
    _day(cast, now, now.date(), *UNDERRUN)
    [(rule, subject)] = _seen(cast)
    assert subject == "LF"
    assert "heel" in rule


def test_toe_and_heel_of_different_days_are_not(cast: Cast, now: datetime) -> None:
    _day(cast, now, now.date(), UNDERRUN[0])
    _day(cast, now, now.date() - timedelta(days=49), UNDERRUN[1])
    assert _seen(cast) == {}


def test_toe_and_heel_of_different_moments_of_a_day_are_not(cast: Cast, now: datetime) -> None:
    _day(cast, now, now.date(), UNDERRUN[0])
    _day(cast, now, now.date(), UNDERRUN[1], state="before")
    assert _seen(cast) == {}


def test_the_newest_day_counts(cast: Cast, now: datetime) -> None:
    _day(cast, now, now.date() - timedelta(days=49), *UNDERRUN)
    _day(cast, now, now.date(), *STRAIGHT)
    assert _seen(cast) == {}


def test_of_one_day_the_trimmed_foot_is_looked_at_first(cast: Cast, now: datetime) -> None:
    _day(cast, now, now.date(), *UNDERRUN, state="before")
    _day(cast, now, now.date(), *STRAIGHT)
    assert _seen(cast) == {}


def test_the_first_day_it_could_be_seen_is_a_first_look(cast: Cast, now: datetime) -> None:
    _day(cast, now, now.date() - timedelta(days=49), *UNDERRUN)
    [first] = _seen(cast).values()
    _day(cast, now, now.date(), *UNDERRUN)
    [second] = _seen(cast).values()
    assert (first.first_look, second.first_look) == (True, False)
    assert {reading.taken_on for reading in second.readings} == {now.date()}


def test_left_and_right_are_compared_as_a_pair(cast: Cast, now: datetime) -> None:
    _day(cast, now, now.date(), ("LH", "toe_angle", 52.0), ("RH", "toe_angle", 44.0))
    [(_, subject)] = _seen(cast)
    assert subject == "LH-RH"


def test_without_a_weight_nothing_is_said_of_it(cast: Cast, now: datetime) -> None:
    size = ("LF", "coronary_circumference", 280.0)
    _day(cast, now, now.date(), size)
    assert _seen(cast) == {}
    weight_record(
        access=cast.access(cast.owner),
        weight_kg=Decimal(700),
        entered_value=Decimal(700),
        entered_unit="kg",
        method="tape",
        weighed_on=now.date(),
        now=now,
    )
    assert [subject for _, subject in _seen(cast)] == ["LF"]
