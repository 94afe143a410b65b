"""What points on a picture give is reckoned, never typed: in no form, no list, no correction."""

from datetime import date, datetime
from typing import Any

import pytest

from horses.services.deed import DeedRefused
from measurements.hoof.quantities import BY_POINTS, QUANTITIES, Method
from measurements.importing.table import table_read
from measurements.models import PicturePoints, Reading
from measurements.queries.picture_points import measured_only, values_of
from measurements.services.picture_points import points_place
from measurements.services.points_readings import points_readings_record, taken_from
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door
from tests.measurements.visit_corrected import DAY, correct, written_up
from tests.pictures import picture
from tests.stage_pictures import WITH_CARD

HEAD = "date,foot,quantity,value,unit,method,trim\n"


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=QUANTITIES)
def test_each_quantity_can_be_typed_by_some_method_and_by_none_of_points(quantity: Any) -> None:
    assert quantity.typed_methods
    assert not set(quantity.typed_methods) & BY_POINTS
    assert set(quantity.methods) - BY_POINTS == set(quantity.typed_methods)


@pytest.mark.django_db
@pytest.mark.parametrize("method", sorted(BY_POINTS))
def test_no_value_is_recorded_as_of_points_without_points(
    method: str, cast: Cast, now: datetime
) -> None:
    quantity = "sole_depth" if method == Method.FILM else "toe_angle"
    with pytest.raises(DeedRefused, match="comes from points placed on a picture"):
        build.reading(cast.access(cast.vet), now, "LF", quantity, 12, now.date(), method=method)


@pytest.mark.parametrize(
    ("row", "instead"),
    [
        ("2026-09-14,LF,toe_angle,49.5,deg,photo_card,before", "gauge, photo, radiograph, owner"),
        ("2026-09-14,LF,toe_angle,49.5,deg,photo with card,before", "photo"),
        ("2026-09-14,LF,sole_depth,12,mm,film,before", "radiograph"),
    ],
)
def test_a_list_that_names_one_is_told_what_to_write(row: str, instead: str) -> None:
    (problem,) = table_read(HEAD + row, today=date(2026, 11, 2)).problems
    assert "come from points placed on a picture" in str(problem)
    assert instead in str(problem)


@pytest.mark.django_db
def test_no_form_offers_one(cast: Cast, clock_stands: Any) -> None:
    for who in ("farrier", "vet", "owner"):
        door = Door(getattr(cast, who), cast.case)
        for name in ("readings_new", *(() if who == "owner" else ("visit_new",))):
            said = door.get(name)
            if said.status_code == 200:
                page = said.content.decode()
                assert 'value="photo"' in page
                assert 'value="photo_card"' not in page
                assert 'value="film"' not in page


@pytest.fixture
def pictured(cast: Cast, now: datetime, clock_stands: Any) -> Reading:
    """A toe angle off the points on a picture, by the farrier."""
    access = cast.access(cast.farrier)
    side = picture(access, now)
    row = points_place(access=access, picture_id=side.public_id, placed=WITH_CARD, now=now)
    (made,) = points_readings_record(
        access=access, points_id=row.public_id, readings=[off(row)], now=now
    )
    return made


def off(row: PicturePoints, trim_state: str = "between") -> Any:
    found = measured_only(values_of(row))["toe_angle"]
    return taken_from(row, "toe_angle", found, trim_state=trim_state, shoeing="shod", sure=False)


def corrected(cast: Cast, reading: Reading, **more: str) -> Any:
    sent = {
        "what": "value",
        "LF-toe_angle": str(reading.value),
        "method": reading.method,
        "trim_state": reading.trim_state,
        "shoe_then": "",
        "reason": "Looked again.",
    }
    door = Door(cast.farrier, cast.case)
    return door.post("reading_correct", reading.public_id, **{**sent, **more})


@pytest.mark.django_db
def test_a_pictures_value_typed_anew_asks_how_it_was_measured(
    pictured: Reading, cast: Cast
) -> None:
    refused = corrected(cast, pictured, **{"LF-toe_angle": "51.5"})
    assert refused.status_code == 422
    assert "is no longer the picture" in refused.content.decode()
    kept = corrected(cast, pictured, **{"LF-toe_angle": "51.5", "method": "gauge", "sure": "on"})
    assert kept.status_code == 302
    new = Reading.objects.get(corrects=pictured)
    assert (new.method, new.points, new.sd) == ("gauge", None, None)


@pytest.mark.django_db
def test_one_whose_value_stays_stays_the_pictures(pictured: Reading, cast: Cast) -> None:
    assert corrected(cast, pictured, trim_state="before").status_code == 302
    new = Reading.objects.get(corrects=pictured)
    assert (new.method, new.points, new.sd) == ("photo_card", pictured.points, pictured.sd)


@pytest.mark.django_db
def test_in_a_visit_put_right_it_is_measured_as_the_others_are(
    cast: Cast, now: datetime, clock_stands: Any
) -> None:
    access = cast.access(cast.farrier)
    side = picture(access, now, on=DAY)
    row = points_place(access=access, picture_id=side.public_id, placed=WITH_CARD, now=now)
    visit = written_up(cast, now, readings=[off(row, "after")])
    assert Reading.objects.get().method == "photo_card"
    answer = correct(cast, visit, **{"LF-toe_angle-after": "51.5", "LF-toe_angle-after-sure": "on"})
    assert answer.status_code == 302
    new = Reading.objects.exclude(corrects=None).get()
    assert (new.method, new.points, new.sd) == ("gauge", None, None)
