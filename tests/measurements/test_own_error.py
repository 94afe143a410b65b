"""A reading that comes with its own error is reckoned with it, in the place of its method's."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from horses.services.deed import DeedRefused
from measurements.hoof.quantities import QUANTITIES, Method, Shoeing, error_sd
from measurements.hoof.trend import TooFewReadings
from measurements.queries.jumps import reading_point
from measurements.queries.numbers import Numbers, numbers_of
from measurements.queries.repeats import reading_sd
from measurements.rules.shapes import measured
from measurements.series.sources import assumptions
from measurements.services.picture_points import points_place
from measurements.verdicts.bands import band_look
from measurements.verdicts.trend_short import measured_now
from tests import build
from tests.cast import Cast
from tests.pictures import picture
from tests.stage_pictures import WITH_CARD

pytestmark = pytest.mark.usefixtures("clock_stands")
DAY = date(2026, 6, 1)
OWN = Decimal("0.625")


def numbers(cast: Cast) -> Numbers:
    return numbers_of(cast.horse, today=DAY + timedelta(days=200))


def points_of(cast: Cast, now: datetime, on: date) -> int:
    """Points on a picture of that day."""
    access = cast.access(cast.farrier)
    side = picture(access, now, on=on)
    row = points_place(access=access, picture_id=side.public_id, placed=WITH_CARD, now=now)
    return int(row.pk)


@pytest.fixture
def pictured(cast: Cast, now: datetime) -> Cast:
    """A toe angle by gauge, and one off a picture with its own error."""
    access = cast.access(cast.farrier)
    build.reading(access, now, "LF", "toe_angle", 52, DAY)
    later = DAY + timedelta(days=49)
    build.reading(
        access,
        now,
        "LF",
        "toe_angle",
        51,
        later,
        method="photo_card",
        trim_state="before",
        sd=OWN,
        points_id=points_of(cast, now, later),
    )
    return cast


def test_the_series_takes_each_readings_own_error(pictured: Cast) -> None:
    rows = numbers(pictured).series("LF", "toe_angle")
    assert [row.sd for row in rows] == [1.0, 0.625]


def test_a_jump_is_looked_for_with_it(pictured: Cast) -> None:
    seen = numbers(pictured)
    points = [reading_point(seen, row) for row in seen.readings["LF", "toe_angle"]]
    assert [point.sd for point in points] == [1.0, 0.625]


def test_shape_rules_and_sheets_take_it(pictured: Cast) -> None:
    seen = numbers(pictured)
    last = seen.readings["LF", "toe_angle"][-1]
    assert measured(last).sd == 0.625
    assert {level.moment: level.sd for level in measured_now(seen)} == {
        "after": 1.0,
        "before": 0.625,
    }


def test_a_band_is_compared_with_it(pictured: Cast, now: datetime) -> None:
    vet = pictured.access(pictured.vet)
    target = build.target(vet, now, foot="LF", quantity="toe_angle", moment="any")
    look = band_look(numbers(pictured), target)
    assert look is not None
    assert look.sd == 0.625


def test_without_its_own_error_a_reading_has_its_methods(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    card = {"method": "photo_card", "points_id": points_of(cast, now, DAY)}
    build.reading(access, now, "LF", "toe_angle", 52, DAY, **card)
    (row,) = numbers(cast).readings["LF", "toe_angle"]
    assert reading_sd(row, {}) == error_sd(QUANTITIES["toe_angle"], Method.PHOTO_CARD)


def test_a_persons_repeats_do_not_replace_what_the_picture_says(
    pictured: Cast, now: datetime
) -> None:
    access = pictured.access(pictured.farrier)
    for week in range(4):
        on = DAY + timedelta(days=60 + week)
        for value in (50, 54):
            card = {"method": "photo_card", "points_id": points_of(pictured, now, on)}
            build.reading(access, now, "LF", "toe_angle", value, on, trim_state="between", **card)
    rows = numbers(pictured).series("LF", "toe_angle")
    assert rows[1].sd == 0.625
    assert rows[-1].sd > 1.0


@pytest.mark.parametrize("sd", ["0", "-1", "NaN"])
def test_an_error_of_nothing_is_refused(cast: Cast, now: datetime, sd: str) -> None:
    access = cast.access(cast.farrier)
    with pytest.raises(DeedRefused, match="error"):
        build.reading(access, now, "LF", "toe_angle", 52, DAY, sd=Decimal(sd))


def test_what_is_said_of_such_readings_claims_no_fixed_error() -> None:
    words = assumptions("toe_angle", Shoeing.SHOD, Method.PHOTO_CARD, TooFewReadings(0, 3), "deg")[
        -1
    ]
    assert "its own error" in words
    assert "no pictures of real feet" in words
