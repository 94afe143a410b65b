"""Numbers that pages keep between two looks, and everything after which they are read anew."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from horses.models import Visit
from horses.services.interval import IntervalWish, interval_set
from measurements.models import Reading
from measurements.queries.numbers import Numbers, numbers_of
from measurements.queries.numbers_kept import LEAST_WEIGHT, KeptNumbers, numbers_kept
from measurements.services.readings import reading_correct
from measurements.services.visit_void import visit_take_back
from measurements.verdicts.bands import trend_of
from tests import build
from tests.cast import Cast
from tests.measurements.test_steps_service import agree, propose


@pytest.fixture
def looked(cast: Cast, now: datetime) -> Numbers:
    """A horse with a series, a band and a visit, whose page somebody has looked at."""
    build.series(cast.access(cast.farrier), now, (52, 52, 51, 51, 50, 50))
    build.target(cast.access(cast.vet), now)
    build.visit(cast.access(cast.farrier), now, now.date() - timedelta(days=3))
    return numbers_kept(cast.horse, today=now.date())


def _same(kept: Numbers, fresh: Numbers) -> bool:
    return all(
        getattr(kept, name) == getattr(fresh, name)
        for name in ("readings", "trims", "targets", "planned", "weight_kg", "shoeing", "shoes")
    )


def _of(cast: Cast, now: datetime) -> Numbers:
    """As a page reads them; they must be what is read anew."""
    kept = numbers_kept(cast.horse, today=now.date())
    assert _same(kept, numbers_of(cast.horse, today=now.date()))
    return kept


def test_a_second_look_reads_only_whether_anything_was_written(
    cast: Cast, looked: Numbers, now: datetime
) -> None:
    with CaptureQueriesContext(connection) as queries:
        again = numbers_kept(cast.horse, today=now.date())
    assert len(queries) == 2
    assert again.readings is looked.readings


def test_what_was_worked_out_is_not_worked_out_again(
    cast: Cast, looked: Numbers, now: datetime
) -> None:
    line = trend_of(looked, "LF", "toe_angle")
    assert trend_of(_of(cast, now), "LF", "toe_angle") is line


def test_a_changed_copy_begins_with_nothing_worked_out(looked: Numbers) -> None:
    line = trend_of(looked, "LF", "toe_angle")
    fewer = replace(looked, readings={("LF", "toe_angle"): looked.readings["LF", "toe_angle"][:6]})
    assert trend_of(fewer, "LF", "toe_angle") != line


def test_the_row_of_the_horse_is_the_one_just_read(
    cast: Cast, looked: Numbers, now: datetime
) -> None:
    assert numbers_kept(cast.horse, today=now.date()).horse is cast.horse


def _step_agreed(cast: Cast, now: datetime) -> None:
    agree(cast, propose(cast, now, from_on=now.date() - timedelta(days=200)), now)


def _correction(cast: Cast, now: datetime, value: float | None = 48) -> None:
    last = numbers_of(cast.horse, today=now.date()).readings["LF", "toe_angle"][-1]
    reading_correct(
        access=cast.access(cast.farrier),
        reading_id=last.public_id,
        taken=None if value is None else build.taken("LF", "toe_angle", value),
        reason="Misread.",
        now=now,
    )


def _visit_taken_back(cast: Cast, now: datetime) -> None:
    visit = Visit.objects.kept().filter(horse=cast.horse).latest("pk")
    visit_take_back(
        access=cast.access(cast.farrier), public_id=visit.public_id, reason="Another.", now=now
    )


def _interval(cast: Cast, now: datetime) -> None:
    wish = IntervalWish(basis="team", days=40)
    interval_set(access=cast.access(cast.owner), wish=wish, now=now)


def _written_without_a_line(cast: Cast, now: datetime) -> None:
    old = Reading.objects.filter(horse=cast.horse).latest("pk")
    fields = {f.attname: getattr(old, f.attname) for f in Reading._meta.concrete_fields}
    Reading.objects.create(**{**fields, "id": None, "public_id": "z" * 16})


WRITES: dict[str, Callable[[Cast, datetime], Any]] = {
    "a reading": lambda cast, now: build.reading(
        cast.access(cast.farrier), now, "LF", "toe_angle", 49, now.date()
    ),
    "a correction": _correction,
    "a reading taken off": lambda cast, now: _correction(cast, now, None),
    "a visit": lambda cast, now: build.visit(cast.access(cast.farrier), now, now.date()),
    "a visit taken back": _visit_taken_back,
    "a lost shoe": lambda cast, now: build.flag(
        cast.access(cast.owner), now, "lost_shoe", feet=["LF"], since_on=now.date()
    ),
    "a band": lambda cast, now: build.target(cast.access(cast.vet), now, foot="RF"),
    "steps agreed to": _step_agreed,
    "a row without a line": _written_without_a_line,
}


@pytest.mark.parametrize("what", WRITES)
def test_after_a_write_the_numbers_are_read_anew(
    cast: Cast, looked: Numbers, now: datetime, what: str
) -> None:
    WRITES[what](cast, now + timedelta(minutes=1))
    assert not _same(_of(cast, now), looked)


def test_after_another_interval_what_was_worked_out_is_worked_out_anew(
    cast: Cast, looked: Numbers, now: datetime
) -> None:
    line = trend_of(looked, "LF", "toe_angle")
    _interval(cast, now)
    cast.horse.refresh_from_db()
    assert trend_of(_of(cast, now), "LF", "toe_angle") is not line


def test_a_write_that_was_undone_leaves_nothing_behind(
    cast: Cast, looked: Numbers, now: datetime
) -> None:
    """The row numbers and the count are used again by the write that comes after it."""
    savepoint = transaction.savepoint()
    WRITES["a reading"](cast, now)
    _of(cast, now)
    transaction.savepoint_rollback(savepoint)
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 47, now.date())
    assert float(_of(cast, now).readings["LF", "toe_angle"][-1].value) == 47


def test_a_band_that_begins_tomorrow_is_seen_tomorrow(
    cast: Cast, looked: Numbers, now: datetime
) -> None:
    tomorrow = now.date() + timedelta(days=1)
    build.target(cast.access(cast.vet), now, foot="RF", from_on=tomorrow)
    assert ("RF", "toe_angle") not in _of(cast, now).targets
    assert ("RF", "toe_angle") in _of(cast, now + timedelta(days=1)).targets


def test_the_horses_looked_at_longest_ago_give_way(looked: Numbers) -> None:
    kept = KeptNumbers(most=2 * (LEAST_WEIGHT + 11))
    for horse in (1, 2):
        kept.put(horse, ("then",), looked)
    kept.get(1, ("then",))
    kept.put(3, ("then",), looked)
    assert [kept.get(horse, ("then",)) is None for horse in (1, 2, 3)] == [False, True, False]


def test_of_one_horse_only_the_newest_numbers_are_kept(looked: Numbers) -> None:
    kept = KeptNumbers(most=2 * (LEAST_WEIGHT + 11))
    kept.put(2, ("then",), looked)
    for moment in ("then", "now"):
        kept.put(1, (moment,), looked)
    assert kept.get(1, ("then",)) is None
    assert kept.get(1, ("now",)) is looked
    assert kept.get(2, ("then",)) is looked
