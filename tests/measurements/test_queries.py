"""The numbers of one horse: which readings stand, from which trim they count, how it was shod."""

from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from horses.services.visits import WorkDone
from measurements.queries.numbers import numbers_of, readings_for, trim_moment
from measurements.services.readings import reading_correct, readings_record
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def test_a_series_counts_each_reading_from_the_trim_before_it(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [52, 51, 50])
    series = numbers_of(cast.horse, today=now.date()).series("LF", "toe_angle")
    assert [r.days_since_trim for r in series] == [0, 49, 0, 49, 0]
    assert [str(r.trim_state) for r in series] == ["after", "before", "after", "before", "after"]
    assert [r.trim_index for r in series] == [1, 1, 2, 2, 3]


def test_a_reading_without_a_known_trim_before_it_is_left_out_of_the_series(
    cast: Cast, now: datetime
) -> None:
    build.reading(
        cast.access(cast.farrier), now, "LF", "toe_angle", 51, now.date(), trim_state="before"
    )
    numbers = numbers_of(cast.horse, today=now.date())
    assert numbers.series("LF", "toe_angle") == []
    assert numbers.latest("LF", "toe_angle") is not None


def test_before_a_trim_comes_before_after_it_whatever_was_typed_first(
    cast: Cast, now: datetime
) -> None:
    rows = [
        build.taken("LF", "toe_angle", v, trim_state=s) for v, s in ((51, "after"), (48, "before"))
    ]
    readings_record(access=cast.access(cast.farrier), taken_on=now.date(), readings=rows, now=now)
    numbers = numbers_of(cast.horse, today=now.date())
    assert [r.trim_state for r in numbers.readings["LF", "toe_angle"]] == ["before", "after"]
    latest = numbers.latest_before("LF", "toe_angle", "before")
    assert latest is not None
    assert latest.value == 48


def test_corrected_and_withdrawn_readings_are_kept_and_do_not_count(
    cast: Cast, now: datetime
) -> None:
    access = cast.access(cast.farrier)
    first = build.reading(access, now, "LF", "toe_angle", 51, now.date())
    gone = build.reading(access, now, "LF", "toe_angle", 60, now.date())
    reading_correct(
        access=access,
        reading_id=first.public_id,
        now=now,
        reason="Slipped.",
        taken=build.taken("LF", "toe_angle", 50),
    )
    reading_correct(
        access=access, reading_id=gone.public_id, taken=None, reason="Wrong horse.", now=now
    )
    [row] = numbers_of(cast.horse, today=now.date()).readings["LF", "toe_angle"]
    assert row.value == 50
    assert readings_for(access).count() == 4


def test_how_the_foot_was_shod_comes_from_the_work_before_the_day(
    cast: Cast, now: datetime
) -> None:
    farrier, last = cast.access(cast.farrier), now.date()
    for on, left in ((last - 100 * DAY, "barefoot"), (last - 50 * DAY, "shod_wedge")):
        work = [WorkDone("LF", trimmed=True, shoeing_left=left)]
        build.visit(farrier, now, on, work=work)
    numbers = numbers_of(cast.horse, today=now.date())
    assert numbers.shoeing_on("LF", last - 60 * DAY) == "barefoot"
    assert numbers.shoeing_on("LF", last - 50 * DAY) == "barefoot"  # as it came to that visit
    assert numbers.shoeing_on("LF", last) == "shod_wedge"
    assert numbers.shoeing_on("RF", last) == "shod"


def test_after_a_trim_the_foot_is_shod_as_that_days_work_left_it(cast: Cast, now: datetime) -> None:
    farrier, last = cast.access(cast.farrier), now.date()
    for on, left in ((last - 50 * DAY, "shod"), (last, "barefoot")):
        work = [WorkDone("LF", trimmed=True, shoeing_left=left)]
        build.visit(farrier, now, on, work=work)
    numbers = numbers_of(cast.horse, today=last)
    assert numbers.shoeing_on("LF", last, "after") == "barefoot"
    assert numbers.shoeing_on("LF", last, "before") == "shod"
    taken = [
        build.taken("LF", "toe_angle", 51, trim_state=state, shoeing="")
        for state in ("before", "after")
    ]
    readings_record(access=farrier, taken_on=last, readings=taken, now=now)
    series = numbers_of(cast.horse, today=last).series("LF", "toe_angle")
    assert [row.shoeing for row in series] == ["shod", "barefoot"]


def test_reading_the_numbers_takes_as_many_queries_for_many_as_for_few(
    cast: Cast, now: datetime
) -> None:
    access = cast.access(cast.farrier)
    counts = []
    for length in (3, 12):
        build.series(access, now, [51] * length, foot=("LF", "RF")[length == 12])
        with CaptureQueriesContext(connection) as caught:
            numbers_of(cast.horse, today=now.date())
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_another_horses_numbers_stay_its_own(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.other_farrier, cast.other_case), now, [51, 50])
    numbers = numbers_of(cast.horse, today=now.date())
    assert (numbers.readings, numbers.trims, numbers.targets) == ({}, {}, {})


def test_a_day_begins_in_the_zone_of_the_moment(now: datetime) -> None:
    assert trim_moment(date(2026, 11, 1), now) == datetime(2026, 11, 1, tzinfo=now.tzinfo)
