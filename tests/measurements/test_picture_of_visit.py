"""Values read off pictures, beside the forms of visits: whose they are, of which day, and once."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from horses.access import CaseAccess
from horses.models import Picture, Role, Visit
from horses.services.deed import DeedRefused
from measurements.models import PicturePoints, Reading
from measurements.queries.numbers import current_readings
from measurements.queries.picture_points import measured_only, values_of
from measurements.services.picture_points import points_place
from measurements.services.points_readings import points_readings_record, taken_from
from measurements.services.readings import readings_record
from measurements.services.visit_other_horse import visit_to_other_horse
from measurements.services.visit_void import visit_take_back
from tests.cast import Cast, join
from tests.horses.doors import Door, text_of
from tests.measurements.visit_corrected import DAY, correct, in_force, written_up
from tests.measurements.visit_form import send
from tests.pictures import picture
from tests.stage_pictures import WITH_CARD

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]


def placed(access: CaseAccess, side: Picture, now: datetime) -> PicturePoints:
    return points_place(access=access, picture_id=side.public_id, placed=WITH_CARD, now=now)


def written_down(
    access: CaseAccess, row: PicturePoints, now: datetime, key: str, *, trim_state: str = "between"
) -> Reading:
    found = measured_only(values_of(row))[key]
    taken = taken_from(row, key, found, trim_state=trim_state, shoeing="shod", sure=True)
    return points_readings_record(
        access=access, points_id=row.public_id, readings=[taken], now=now
    )[0]


def shown(row: PicturePoints, key: str = "toe_angle") -> str:
    return f"{measured_only(values_of(row))[key].value:.1f}"


def from_points(row: PicturePoints, field: str = "LF-toe_angle-after") -> dict[str, str]:
    """What the form of a visit sends of one value that the points gave."""
    key = field.split("-")[1]
    return {field: shown(row, key), f"{field}-how": "picture", "points": f"{field}={row.public_id}"}


# -- what others read off a picture of a visit


@pytest.fixture
def visit(cast: Cast, now: datetime) -> Visit:
    return written_up(cast, now)


@pytest.fixture
def owners(cast: Cast, now: datetime, visit: Visit) -> Reading:
    """The owner's value, off a picture that they added to the farrier's visit a day later."""
    owner = cast.access(cast.owner)
    side = picture(owner, now, of="visit", of_id=visit.public_id)
    return written_down(owner, placed(owner, side, now), now, "toe_angle")


def test_who_corrects_their_visit_changes_nothing_that_another_read_off_its_picture(
    cast: Cast, visit: Visit, owners: Reading
) -> None:
    assert correct(cast, visit, words="Front shoes, steel.").status_code == 302
    assert correct(cast, in_force(visit), **{"LF-toe_angle-before": "47"}).status_code == 302
    assert owners in current_readings(cast.horse)
    assert not Reading.objects.filter(corrects=owners).exists()


def test_the_form_that_corrects_a_visit_shows_no_value_of_anybody_else(
    cast: Cast, visit: Visit, owners: Reading
) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("visit_correct", visit.public_id))
    assert 'value="45°"' in page
    assert f'value="{owners.entered_text}"' not in page


def test_a_visit_that_is_taken_back_takes_what_was_read_off_its_pictures(
    cast: Cast, now: datetime, visit: Visit, owners: Reading
) -> None:
    page = Door(cast.farrier, cast.case).get("visit_void", visit.public_id)
    assert "3 measurements: struck through" in text_of(page)
    farrier = cast.access(cast.farrier)
    visit_take_back(access=farrier, public_id=visit.public_id, reason="Never was.", now=now)
    assert not current_readings(cast.horse).exists()


def test_taking_a_visit_back_says_what_becomes_of_its_pictures(
    cast: Cast, now: datetime, visit: Visit, owners: Reading
) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("visit_void", visit.public_id))
    assert "1 picture of the visit: not shown with the others any more" in page
    assert "under Pictures as before" not in page


def test_taking_a_visit_back_says_that_pictures_from_its_form_stay(
    cast: Cast, now: datetime
) -> None:
    farrier = cast.access(cast.farrier)
    row = placed(farrier, picture(farrier, now - timedelta(days=1)), now)
    found = measured_only(values_of(row))["toe_angle"]
    taken = taken_from(row, "toe_angle", found, trim_state="after", shoeing="shod", sure=True)
    visit = written_up(cast, now, readings=[taken])
    page = text_of(Door(cast.farrier, cast.case).get("visit_void", visit.public_id))
    assert "1 picture that values came from: under Pictures as before" in page
    assert "of the visit: not shown" not in page


def test_only_the_farriers_own_values_go_along_to_another_horse(
    cast: Cast, now: datetime, visit: Visit, owners: Reading
) -> None:
    join(cast.other_case, cast.farrier, Role.FARRIER, now - timedelta(days=9))
    to = cast.access(cast.farrier, cast.other_case)
    new = visit_to_other_horse(
        access=cast.access(cast.farrier),
        to=to,
        public_id=visit.public_id,
        reason="The other bay.",
        now=now,
    )
    there = current_readings(new.horse).values_list("foot", "value", "taken_by__name")
    assert {(foot, float(value), by) for foot, value, by in there} == {
        ("LF", 45, "Finn Farrier"),
        ("RF", 51, "Finn Farrier"),
    }


# -- what a reading keeps of its picture


def today(cast: Cast, now: datetime) -> Visit:
    send(cast, "LF", kept_on=now.date().isoformat(), **{"LF-toe_angle-after": "50"})
    return Visit.objects.get(kept_on=now.date())


def off_its_picture(cast: Cast, now: datetime, visit: Visit) -> Reading:
    farrier = cast.access(cast.farrier)
    side = picture(farrier, now, of="visit", of_id=visit.public_id)
    row = placed(farrier, side, now)
    return written_down(farrier, row, now, "toe_length", trim_state="after")


@pytest.mark.parametrize(
    "change", [{"kept_on": "2026-11-01"}, {"LF-left": "shod_wedge", "LF-shoe": "new"}]
)
def test_a_value_that_was_not_touched_keeps_its_error_and_its_points(
    cast: Cast, now: datetime, change: dict[str, str]
) -> None:
    visit = today(cast, now)
    before = off_its_picture(cast, now, visit)
    assert correct(cast, visit, **change).status_code == 302
    after = current_readings(cast.horse).get(quantity="toe_length")
    assert after.corrects == before
    for name in ("value", "entered_text", "method", "sd", "points_id", "entered_how"):
        assert getattr(after, name) == getattr(before, name), name


def test_a_value_said_to_be_measured_otherwise_loses_the_error_of_the_picture(
    cast: Cast, now: datetime
) -> None:
    visit = today(cast, now)
    off_its_picture(cast, now, visit)
    assert correct(cast, visit, **{"method-toe_length": "tape"}).status_code == 302
    after = current_readings(cast.horse).get(quantity="toe_length")
    assert (after.method, after.sd, after.points_id) == ("tape", None, None)


def test_on_another_horse_a_value_keeps_its_error_and_leaves_the_picture_behind(
    cast: Cast, now: datetime
) -> None:
    visit = today(cast, now)
    before = off_its_picture(cast, now, visit)
    join(cast.other_case, cast.farrier, Role.FARRIER, now - timedelta(days=9))
    new = visit_to_other_horse(
        access=cast.access(cast.farrier),
        to=cast.access(cast.farrier, cast.other_case),
        public_id=visit.public_id,
        reason="The other bay.",
        now=now,
    )
    after = current_readings(new.horse).get(quantity="toe_length")
    assert (after.method, after.sd, after.points_id) == ("photo", before.sd, None)


# -- one picture, one measurement, of its own day


@pytest.fixture
def row(cast: Cast, now: datetime) -> PicturePoints:
    """Of today."""
    farrier = cast.access(cast.farrier)
    return placed(farrier, picture(farrier, now), now)


def test_a_visit_takes_the_value_of_its_days_picture(
    cast: Cast, now: datetime, row: PicturePoints
) -> None:
    answer = send(cast, "LF", kept_on=now.date().isoformat(), **from_points(row))
    assert answer.status_code == 302
    reading = Reading.objects.get()
    assert (reading.method, reading.points_id) == ("photo_card", row.pk)


def test_a_visit_takes_no_value_of_another_days_picture(cast: Cast, row: PicturePoints) -> None:
    answer = send(cast, "LF", kept_on=DAY.isoformat(), **from_points(row))
    assert answer.status_code == 422
    page = text_of(answer)
    assert "This value is from a picture of 2 Nov 2026" in page
    assert f'value="{shown(row)}"' in page  # nothing typed is lost
    assert not Reading.objects.exists()


def test_a_picture_gives_a_value_once(cast: Cast, now: datetime, row: PicturePoints) -> None:
    written_down(cast.access(cast.farrier), row, now, "toe_angle")
    answer = send(cast, "LF", kept_on=now.date().isoformat(), **from_points(row))
    assert answer.status_code == 422
    assert "The toe angle of this picture is written down already" in text_of(answer)
    assert Reading.objects.count() == 1


def test_a_picture_is_not_both_before_and_after_the_trim(
    cast: Cast, now: datetime, row: PicturePoints
) -> None:
    both = [from_points(row, f"LF-toe_angle-{moment}") for moment in ("before", "after")]
    points = " ".join(one["points"] for one in both)
    fields = {**both[0], **both[1], "points": points, "extra": "toe_angle-before"}
    answer = send(cast, "LF", kept_on=now.date().isoformat(), **fields)
    assert answer.status_code == 422
    assert "This picture gave this value already" in text_of(answer)


def test_a_visit_whose_answer_was_lost_is_sent_again_with_its_picture(
    cast: Cast, now: datetime, row: PicturePoints
) -> None:
    fields: dict[str, Any] = {
        "kept_on": now.date().isoformat(),
        "client_key": "k",
        **from_points(row),
    }
    assert send(cast, "LF", **fields).status_code == 302
    assert send(cast, "LF", **fields).status_code == 302
    assert Reading.objects.count() == 1


def test_a_visit_is_corrected_beside_the_value_that_its_picture_gave(
    cast: Cast, now: datetime, row: PicturePoints
) -> None:
    send(cast, "LF", kept_on=now.date().isoformat(), **from_points(row))
    visit = Visit.objects.get()
    assert correct(cast, visit, words="Landed flat.", **from_points(row)).status_code == 302
    assert Reading.objects.get().points_id == row.pk


@pytest.mark.parametrize(("days", "times"), [(0, 2), (1, 1)], ids=["twice", "of another day"])
def test_past_every_form_a_picture_is_one_measurement_of_its_day(
    cast: Cast, now: datetime, row: PicturePoints, days: int, times: int
) -> None:
    farrier = cast.access(cast.farrier)
    found = measured_only(values_of(row))["toe_angle"]
    taken = taken_from(row, "toe_angle", found, trim_state="between", shoeing="shod", sure=True)
    on = now.date() - timedelta(days=days)
    several = [taken, replace(taken, trim_state="after")][:times]
    with pytest.raises(DeedRefused):
        readings_record(access=farrier, taken_on=on, readings=several, now=now)
