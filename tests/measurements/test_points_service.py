"""Points are placed, placed again by others, and become readings with their own error."""

from dataclasses import replace
from datetime import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.models import HistoryLine, Picture
from horses.services.deed import DeedRefused
from measurements.models import PicturePoints, Reading
from measurements.queries.numbers import numbers_of
from measurements.queries.picture_card import card_corners
from measurements.queries.picture_points import measured_only, values_of
from measurements.services.picture_points import Placed, points_place
from measurements.services.points_readings import points_readings_record, taken_from
from tests import build
from tests.cast import Cast
from tests.pictures import CARD, SIDE_POINTS, picture

pytestmark = pytest.mark.django_db
WITH_CARD = Placed(SIDE_POINTS, card_corners=CARD, card_mm=Decimal(60))


@pytest.fixture
def side(cast: Cast, now: datetime) -> Picture:
    return picture(cast.access(cast.owner), now)


def place(
    cast: Cast, who: str, side: Picture, now: datetime, placed: Placed = WITH_CARD
) -> PicturePoints:
    access = cast.access(getattr(cast, who))
    return points_place(access=access, picture_id=side.public_id, placed=placed, now=now)


def test_a_drawn_foot_comes_out_as_it_was_drawn(cast: Cast, side: Picture, now: datetime) -> None:
    found = measured_only(values_of(place(cast, "farrier", side, now)))
    assert found["toe_angle"].value == pytest.approx(50, abs=1)
    assert found["toe_length"].value == pytest.approx(94, abs=3)
    assert "pastern_angle" not in found


def test_the_card_is_found_on_the_kept_picture(side: Picture) -> None:
    found = card_corners(side)
    assert found is not None
    for (x, y), (wanted_x, wanted_y) in zip(found, CARD, strict=True):
        assert (x, y) == pytest.approx((wanted_x, wanted_y), abs=0.7)


def test_a_wider_picture_is_refused_and_a_film_is_for_the_vet(
    cast: Cast, side: Picture, now: datetime
) -> None:
    outside = replace(WITH_CARD, points={**SIDE_POINTS, "toe_low": (1300.0, 560.0)})
    with pytest.raises(DeedRefused, match="outside the picture"):
        place(cast, "owner", side, now, outside)
    with pytest.raises(PermissionDenied):
        place(cast, "carer", side, now)
    film = picture(cast.access(cast.vet), now, view="film_side")
    with pytest.raises(PermissionDenied):
        place(cast, "farrier", film, now)


def test_points_still_to_be_placed_are_named(cast: Cast, side: Picture, now: datetime) -> None:
    some = {name: at for name, at in SIDE_POINTS.items() if not name.startswith("heel")}
    with pytest.raises(DeedRefused, match="heel wall, low; heel wall, at the hairline"):
        place(cast, "owner", side, now, replace(WITH_CARD, points=some))


def test_points_that_contradict_each_other_are_refused_with_the_reason(
    cast: Cast, side: Picture, now: datetime
) -> None:
    turned = {
        **SIDE_POINTS,
        "toe_low": SIDE_POINTS["toe_hairline"],
        "toe_hairline": SIDE_POINTS["toe_low"],
    }
    with pytest.raises(DeedRefused, match="the wrong way round"):
        place(cast, "owner", side, now, replace(WITH_CARD, points=turned))
    assert not PicturePoints.objects.exists()


def take(cast: Cast, who: str, row: PicturePoints, now: datetime, *keys: str) -> list[Reading]:
    found = measured_only(values_of(row))
    readings = [
        taken_from(row, key, found[key], trim_state="between", shoeing="shod", sure=False)
        for key in keys or ("toe_angle", "toe_length")
    ]
    access = cast.access(getattr(cast, who))
    return points_readings_record(
        access=access, points_id=row.public_id, readings=readings, now=now
    )


def test_a_reading_keeps_its_points_its_own_error_and_how_it_came(
    cast: Cast, side: Picture, now: datetime
) -> None:
    row = place(cast, "farrier", side, now)
    angle, length = take(cast, "farrier", row, now)
    assert (angle.method, angle.entered_how, angle.points) == ("photo_card", "picture", row)
    assert angle.sd is not None
    assert 0.2 < angle.sd < 1.5
    assert (angle.taken_on, length.quantity) == (side.taken_on, "toe_length")
    assert angle.value == round(angle.value, 1)


def test_a_repeat_never_takes_a_readings_place(cast: Cast, side: Picture, now: datetime) -> None:
    take(cast, "farrier", place(cast, "farrier", side, now), now, "toe_angle")
    again = place(cast, "owner", side, now)
    with pytest.raises(DeedRefused, match="written down already, by Finn Farrier"):
        take(cast, "owner", again, now, "toe_angle")
    assert Reading.objects.filter(quantity="toe_angle").count() == 1
    assert take(cast, "owner", again, now, "toe_length")


def test_only_who_placed_the_points_writes_their_values_down(
    cast: Cast, side: Picture, now: datetime
) -> None:
    row = place(cast, "farrier", side, now)
    with pytest.raises(PermissionDenied, match="Finn Farrier placed these points"):
        take(cast, "vet", row, now)


def test_a_picture_of_a_note_is_measured_by_its_readers_only(cast: Cast, now: datetime) -> None:
    note = build.note(cast.access(cast.vet), now, audience={"vet", "farrier"})
    scoped = picture(cast.access(cast.vet), now, of="note", of_id=note.public_id)
    with pytest.raises(Http404):
        place(cast, "owner", scoped, now)
    place(cast, "farrier", scoped, now)
    line = HistoryLine.objects.get(verb="points.placed")
    assert line.audience == note.audience


def reading_sd(cast: Cast, now: datetime) -> float:
    (row,) = numbers_of(cast.horse, today=now.date()).readings["LF", "toe_angle"]
    assert row.sd is not None
    return float(row.sd)


def test_a_repeat_refines_the_error_of_the_reading_and_leaves_its_value(
    cast: Cast, side: Picture, now: datetime
) -> None:
    (kept,) = take(cast, "farrier", place(cast, "farrier", side, now), now, "toe_angle")
    alone = reading_sd(cast, now)
    assert alone == float(kept.sd or 0)
    place(cast, "owner", side, now)  # the same points to the pixel: a steady hand
    assert reading_sd(cast, now) < alone
    assert Reading.objects.get().sd == kept.sd


def test_a_repeat_far_off_widens_the_error(cast: Cast, side: Picture, now: datetime) -> None:
    take(cast, "farrier", place(cast, "farrier", side, now), now, "toe_angle")
    alone = reading_sd(cast, now)
    off = {
        name: (x + 5, y - 5 * (-1) ** place)
        for place, (name, (x, y)) in enumerate(SIDE_POINTS.items())
    }
    place(cast, "owner", side, now, replace(WITH_CARD, points=off))
    assert reading_sd(cast, now) > alone


def test_a_repeat_that_saw_the_first_says_nothing_of_the_error(
    cast: Cast, side: Picture, now: datetime
) -> None:
    take(cast, "farrier", place(cast, "farrier", side, now), now, "toe_angle")
    alone = reading_sd(cast, now)
    place(cast, "owner", side, now, replace(WITH_CARD, blind=False))
    assert reading_sd(cast, now) == alone
