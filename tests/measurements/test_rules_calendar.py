"""The numbers by the calendar: nothing measured for long, and a forecast date come near."""

from datetime import date, datetime, timedelta

import pytest

from horses.models import Alert
from horses.services.visit_planning import visit_plan
from measurements.rules.schedule import (
    forecast_dates,
    forecast_moments,
    forecast_near,
    silence,
    silence_moments,
)
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
TEN_WEEKS = timedelta(weeks=10)


def test_ten_weeks_without_a_number_are_said(cast: Cast, now: datetime) -> None:
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, now.date())
    start = datetime.combine(now.date(), datetime.min.time(), tzinfo=now.tzinfo)
    assert list(silence(cast.horse, start + TEN_WEEKS - DAY)) == []
    [found] = silence(cast.horse, start + TEN_WEEKS)
    assert found.sentence.startswith("Nothing has been measured for 10 weeks, since 2 Nov 2026.")
    assert list(silence_moments(cast.horse, now)) == [start + TEN_WEEKS]
    later = start + TEN_WEEKS + DAY
    assert list(silence_moments(cast.horse, later)) == [start + TEN_WEEKS + 7 * DAY]


def test_a_horse_never_measured_is_not_silent(cast: Cast, now: datetime) -> None:
    assert list(silence(cast.horse, now + 2 * TEN_WEEKS)) == []
    assert list(silence_moments(cast.horse, now)) == []


@pytest.fixture
def moving(cast: Cast, now: datetime) -> Alert:
    evidence = {"foot": "LF", "quantity": "toe_angle", "leaves_earliest_on": "2026-12-20"}
    return Alert.objects.create(
        horse=cast.horse,
        rule="band.moving",
        subject="LF:toe_angle:after",
        weight="alert",
        title="T",
        sentence="S.",
        evidence=evidence,
        true_since=now,
        raised_at=now,
    )


def test_a_forecast_date_is_near_three_weeks_before(
    moving: Alert, cast: Cast, now: datetime
) -> None:
    near = datetime(2026, 11, 29, tzinfo=now.tzinfo)
    assert list(forecast_near(cast.horse, near - timedelta(minutes=1))) == []
    [found] = forecast_near(cast.horse, near)
    assert "the left fore toe angle may leave its band from 20 Dec 2026 on" in found.sentence
    assert list(forecast_moments(cast.horse, now)) == [near]


def test_a_visit_planned_before_the_date_is_enough(
    moving: Alert, cast: Cast, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.owner), on=date(2026, 12, 10), now=now)
    assert list(forecast_near(cast.horse, datetime(2026, 12, 1, tzinfo=now.tzinfo))) == []


def test_no_visit_is_asked_for_before_a_day_that_is_past(
    moving: Alert, cast: Cast, now: datetime
) -> None:
    late = datetime(2026, 12, 28, tzinfo=now.tzinfo)
    [found] = forecast_near(cast.horse, late)
    assert found.title == "A forecast date has come"
    assert "before" not in found.sentence
    assert "may be outside its band since 20 Dec 2026" in found.sentence
    assert found.sentence.endswith("No visit is planned.")
    visit_plan(access=cast.access(cast.owner), on=date(2027, 3, 1), now=now)
    [found] = forecast_near(cast.horse, late)
    assert found.sentence.endswith("planned for 1 Mar 2027: is that soon enough?")


def test_a_planned_day_that_has_passed_is_no_visit_before_the_date(
    moving: Alert, cast: Cast, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.owner), on=date(2026, 11, 10), now=now)
    assert len(list(forecast_near(cast.horse, datetime(2026, 12, 1, tzinfo=now.tzinfo)))) == 1


def test_it_is_of_one_cause_with_the_change_it_was_worked_out_from(
    moving: Alert, cast: Cast, now: datetime
) -> None:
    Alert.objects.update(cause="LF:angles")
    [found] = forecast_near(cast.horse, datetime(2026, 12, 1, tzinfo=now.tzinfo))
    assert found.cause == "LF:angles"


def test_the_dates_of_a_verdict_are_read_too() -> None:
    evidence = {
        "foot": "LF",
        "forecasts": [
            {"quantity": "toe_angle", "earliest_on": "2026-12-20"},
            {"quantity": "heel_angle", "earliest_on": None},
        ],
    }
    assert forecast_dates(evidence) == [(date(2026, 12, 20), "left fore toe angle")]
