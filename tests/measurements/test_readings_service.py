"""Readings: recorded for a day, checked, corrected by later ones."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.ledger.append import content_of
from horses.ledger.row_seal import row_name
from horses.ledger.verify import broken_lines
from horses.models import HistoryLine, Job, Person, Trim
from horses.queries.board import last_trimmed_on
from horses.queries.herd import herd_for
from horses.services.deed import DeedRefused
from horses.services.visits import WorkDone
from measurements.models import Reading
from measurements.queries.numbers import current_readings, numbers_of
from measurements.services.readings import (
    Taken,
    reading_correct,
    readings_import,
    readings_record,
    taken_check,
)
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def _record(cast: Cast, now: datetime, *taken: Taken, **more: Any) -> list[Reading]:
    fields = {"taken_on": now.date(), "access": cast.access(cast.farrier), **more}
    return readings_record(readings=list(taken), now=now, **fields)


def _correct(
    cast: Cast, who: Person, reading: Reading, now: datetime, value: float | None = 49, **more: Any
) -> Reading:
    how = {name: more[name] for name in ("trim_state", "method") if name in more}
    taken = None if value is None else build.taken(reading.foot, reading.quantity, value, **how)
    return reading_correct(
        access=cast.access(who),
        reading_id=reading.public_id,
        taken=taken,
        reason=more.get("reason", "Slipped."),
        now=now,
    )


def test_what_was_typed_stands_beside_the_base_value(cast: Cast, now: datetime) -> None:
    taken = Taken(
        "LF", "toe_length", Decimal("82.550000"), Decimal("3.25"), "in", "3 1/4", "tape", "after"
    )
    [row] = _record(cast, now, taken)
    row.refresh_from_db()
    assert (row.value, row.entered_value) == (Decimal("82.55"), Decimal("3.25"))
    assert (row.entered_unit, row.entered_text) == ("in", "3 1/4")


def test_two_records_of_one_moment_are_told_apart(cast: Cast, now: datetime) -> None:
    first = _record(cast, now, build.taken("LF", "toe_angle", 51))
    second = _record(cast, now, build.taken("RF", "toe_angle", 52))
    assert [row.foot for row in first + second] == ["LF", "RF"]


def test_the_same_form_again_gives_its_own_rows(cast: Cast, now: datetime) -> None:
    taken = [build.taken(foot, "toe_angle", 51) for foot in ("LF", "RF")]
    first = _record(cast, now, *taken, client_key="k")
    _record(cast, now, build.taken("LH", "toe_angle", 50))
    assert _record(cast, now, *taken, client_key="k") == first


def test_nothing_taken_writes_nothing(cast: Cast, now: datetime) -> None:
    before = HistoryLine.objects.count()
    assert _record(cast, now) == []
    assert HistoryLine.objects.count() == before


def test_one_bad_value_refuses_the_whole_sheet(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        _record(cast, now, build.taken("LF", "toe_angle", 51), build.taken("RF", "toe_angle", 510))
    assert not Reading.objects.exists()


def test_a_day_to_come_is_refused(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        _record(
            cast, now, build.taken("LF", "toe_angle", 51), taken_on=now.date() + timedelta(days=1)
        )


@pytest.mark.parametrize(
    ("change", "fits"),
    [
        ({"value": 51}, True),
        ({"value": 21, "confirmed_odd": True}, True),
        ({"value": 21, "confirmed_odd": False}, False),
        ({"value": 121, "confirmed_odd": True}, False),
        ({"value": 51, "method": "tape"}, False),
    ],
)
def test_values_are_checked_against_range_and_method(change: dict[str, Any], fits: bool) -> None:
    taken = build.taken("LF", "toe_angle", **change)
    if fits:
        taken_check(taken)
    else:
        with pytest.raises(DeedRefused):
            taken_check(taken)


@pytest.mark.parametrize(
    ("state", "dated"), [("before", True), ("after", True), ("between", False)]
)
def test_a_value_taken_before_or_after_a_trim_dates_it(
    state: str, dated: bool, cast: Cast, now: datetime
) -> None:
    for _ in range(2):
        _record(cast, now, build.taken("LF", "toe_angle", 51, trim_state=state))
    assert Trim.objects.filter(foot="LF", trimmed_on=now.date()).count() == int(dated)


def test_the_numbers_are_judged_after_the_commit(cast: Cast, now: datetime) -> None:
    Job.objects.all().delete()
    _record(cast, now, build.taken("LF", "toe_angle", 51))
    assert Job.objects.filter(kind="horse.judge", key=cast.horse.public_id).exists()


def test_values_of_somebody_elses_record_carry_their_name(cast: Cast, now: datetime) -> None:
    days = {now.date(): [build.taken("LF", "toe_angle", 51)]}
    access = cast.access(cast.farrier)
    [row] = readings_import(access=access, days=days, taken_by_name="An old book", now=now)
    assert (row.taken_by, row.taken_by_name, row.recorded_by) == (None, "An old book", cast.farrier)


def test_an_old_record_has_a_line_for_each_day_with_its_own_rows(cast: Cast, now: datetime) -> None:
    days = {
        now.date() - timedelta(days=back): [build.taken("LF", "toe_angle", 51, trim_state="after")]
        for back in (50, 0, 100)
    }
    access = cast.access(cast.farrier)
    rows = readings_import(access=access, days=days, now=now)
    lines = list(cast.case.history.filter(verb="readings.recorded"))
    trims = {trim.trimmed_on: trim for trim in Trim.objects.filter(horse=cast.horse)}
    told = [content_of(line.canonical) for line in lines]
    assert [said["after"]["on"] for said in told] == [str(on) for on in sorted(days)]
    for said, row in zip(told, rows, strict=True):
        assert {*said["rows"]} == {row_name(row), row_name(trims[row.taken_on])}
    assert list(broken_lines(cast.case)) == []


def test_an_old_record_makes_no_trim_that_is_there(cast: Cast, now: datetime) -> None:
    access, on = cast.access(cast.farrier), now.date()
    taken = build.taken("LF", "toe_angle", 51, trim_state="after")
    [first] = _record(cast, now, taken)
    reading_correct(
        access=access, reading_id=first.public_id, taken=None, reason="Slipped.", now=now
    )
    assert not Trim.objects.in_force().exists()
    readings_import(access=access, days={on: [taken], on - timedelta(days=50): [taken]}, now=now)
    assert Trim.objects.in_force().count() == Trim.objects.count() == 2


def test_one_bad_value_keeps_the_whole_record_out(cast: Cast, now: datetime) -> None:
    good, bad = build.taken("LF", "toe_angle", 51), build.taken("LF", "toe_angle", 151)
    days = {now.date() - timedelta(days=1): [good], now.date(): [bad]}
    with pytest.raises(DeedRefused):
        readings_import(access=cast.access(cast.farrier), days=days, now=now)
    assert not Reading.objects.exists()


def test_a_correction_stands_in_the_place_of_the_first(cast: Cast, now: datetime) -> None:
    [old] = _record(cast, now, build.taken("LF", "toe_angle", 51))
    new = _correct(cast, cast.farrier, old, now)
    assert list(current_readings(cast.horse)) == [new]
    assert Reading.objects.count() == 2
    assert (new.corrects, new.taken_on) == (old, old.taken_on)


def test_taken_off_it_leaves_the_series_and_stays_written(cast: Cast, now: datetime) -> None:
    [old] = _record(cast, now, build.taken("LF", "toe_angle", 51))
    new = _correct(cast, cast.farrier, old, now, None)
    assert not current_readings(cast.horse).exists()
    assert (new.is_void, new.value) == (True, old.value)


def test_only_who_recorded_it_corrects_it(cast: Cast, now: datetime) -> None:
    [old] = _record(cast, now, build.taken("LF", "toe_angle", 51))
    for who in (cast.vet, cast.owner, cast.stand_in):
        with pytest.raises(PermissionDenied):
            _correct(cast, who, old, now)


def test_a_correction_says_why(cast: Cast, now: datetime) -> None:
    [old] = _record(cast, now, build.taken("LF", "toe_angle", 51))
    with pytest.raises(DeedRefused):
        _correct(cast, cast.farrier, old, now, reason=" ")


def test_what_was_corrected_meanwhile_shows_both(cast: Cast, now: datetime) -> None:
    [old] = _record(cast, now, build.taken("LF", "toe_angle", 51))
    _correct(cast, cast.farrier, old, now, 50)
    with pytest.raises(Conflict) as caught:
        _correct(cast, cast.farrier, old, now, 48)
    assert (caught.value.mine["value"], caught.value.theirs["value"]) == ("48", "50")
    assert Reading.objects.count() == 2


def test_a_measurement_of_another_horse_is_not_found(cast: Cast, now: datetime) -> None:
    there = cast.access(cast.other_farrier, cast.other_case)
    elsewhere = build.reading(there, now, "LF", "toe_angle", 51, now.date())
    with pytest.raises(Http404):
        _correct(cast, cast.farrier, elsewhere, now)


def _trimmed(cast: Cast, now: datetime) -> list[date]:
    """The trims of the left fore as everyone reads them: the numbers, the calendar, the herd."""
    days = numbers_of(cast.horse, today=now.date()).trim_days("LF")
    last = days[-1] if days else None
    assert last_trimmed_on(cast.horse) == last
    [line] = herd_for(cast.owner, today=now.date())
    assert line.last_trim_on == last
    return days


def test_a_moment_corrected_to_after_the_trim_dates_the_trim(cast: Cast, now: datetime) -> None:
    [old] = _record(cast, now, build.taken("LF", "toe_angle", 51, trim_state="between"))
    _correct(cast, cast.farrier, old, now, 51, trim_state="after")
    assert _trimmed(cast, now) == [now.date()]


@pytest.mark.parametrize("correction", [{"value": None}, {"trim_state": "between"}])
def test_a_trim_that_no_reading_speaks_of_any_more_never_was(
    correction: dict[str, Any], cast: Cast, now: datetime
) -> None:
    for wrong in _record(
        cast, now, *(build.taken("LF", q, 51) for q in ("toe_angle", "heel_angle"))
    ):
        assert _trimmed(cast, now) == [now.date()]
        _correct(cast, cast.farrier, wrong, now, **correction)
    assert _trimmed(cast, now) == []
    assert Trim.objects.count() == 1  # kept as written


def test_a_trim_comes_back_with_the_reading_that_speaks_of_it(cast: Cast, now: datetime) -> None:
    [wrong] = _record(cast, now, build.taken("LF", "toe_angle", 51))
    _correct(cast, cast.farrier, wrong, now, None)
    _record(cast, now, build.taken("LF", "toe_angle", 50))
    assert _trimmed(cast, now) == [now.date()]


def test_a_trim_that_the_farrier_wrote_up_stands_without_readings(
    cast: Cast, now: datetime
) -> None:
    work = [WorkDone("LF", trimmed=True, shoeing_left="shod")]
    build.visit(cast.access(cast.farrier), now, now.date(), work=work)
    [wrong] = _record(cast, now, build.taken("LF", "toe_angle", 51))
    _correct(cast, cast.farrier, wrong, now, None)
    assert _trimmed(cast, now) == [now.date()]


def test_a_corrected_method_and_moment_are_named_in_the_history(cast: Cast, now: datetime) -> None:
    [old] = _record(cast, now, build.taken("LF", "toe_angle", 51))
    new = _correct(cast, cast.farrier, old, now, 51, trim_state="before", method="photo")
    line = HistoryLine.objects.get(verb="reading.corrected")
    assert line.before == {"value": "LF toe_angle 51 deg gauge after"}
    assert (line.after or {})["value"] == "LF toe_angle 51 deg photo before"
    _correct(cast, cast.farrier, new, now, 50, trim_state="before", method="photo")
    line = HistoryLine.objects.filter(verb="reading.corrected").latest("seq")
    assert (line.after or {})["value"] == "LF toe_angle 50 deg"
