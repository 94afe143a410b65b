"""A value that comes into a form from the points on a picture keeps their error, and no other does."""

from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from typing import Any

import pytest

from measurements.forms.from_points import points_said, with_own_error
from measurements.models import PicturePoints, Reading
from measurements.queries.picture_points import measured_only, own_points, values_of
from measurements.services.picture_points import points_place
from measurements.services.readings import Taken
from tests import build
from tests.cast import Cast
from tests.measurements.visit_form import send
from tests.pictures import picture
from tests.stage_pictures import WITH_CARD

pytestmark = pytest.mark.django_db


@pytest.fixture
def row(cast: Cast, now: datetime) -> PicturePoints:
    farrier = cast.access(cast.farrier)
    side = picture(farrier, now)
    return points_place(access=farrier, picture_id=side.public_id, placed=WITH_CARD, now=now)


def reckoned(row: PicturePoints) -> str:
    """The toe angle as the page shows it."""
    return f"{measured_only(values_of(row))['toe_angle'].value:.1f}"


def from_picture(value: str = "49.6", quantity: str = "toe_angle", foot: str = "LF") -> Taken:
    return replace(build.taken(foot, quantity, value), entered_how="picture")


def test_the_value_of_the_points_has_their_error_and_method(row: PicturePoints) -> None:
    taken = with_own_error(from_picture(reckoned(row)), row)
    assert (taken.method, taken.points_id) == ("photo_card", row.pk)
    assert taken.sd is not None


@pytest.mark.parametrize(
    "change",
    [
        {"value": Decimal(51)},
        {"foot": "RF"},
        {"quantity": "pastern_angle"},
        {"entered_how": "typed"},
        {"entered_how": "stepped"},
    ],
    ids=lambda change: next(iter(change)),
)
def test_a_value_that_is_not_of_the_points_stays_as_it_is_and_was_typed(
    change: dict[str, Any], row: PicturePoints
) -> None:
    other = replace(from_picture(reckoned(row)), **change)
    how = change.get("entered_how", "typed")
    assert with_own_error(other, row) == replace(other, entered_how=how)


def test_without_points_no_value_came_from_a_picture() -> None:
    assert with_own_error(from_picture(), None) == replace(from_picture(), entered_how="typed")


@pytest.mark.usefixtures("clock_stands")
@pytest.mark.parametrize("how", ["picture", "telepathy", ""])
def test_how_a_value_came_is_not_believed_of_the_page(cast: Cast, how: str) -> None:
    send(cast, "LF", **{"LF-toe_angle-after": "50", "LF-toe_angle-after-how": how})
    assert Reading.objects.get().entered_how == "typed"


def test_only_ones_own_points_count(row: PicturePoints, cast: Cast) -> None:
    ids = [row.public_id, "0" * 16]
    assert set(own_points(cast.access(cast.farrier), ids)) == {row.public_id}
    assert own_points(cast.access(cast.vet), ids) == {}
    assert own_points(cast.access(cast.other_farrier, cast.other_case), ids) == {}


def test_what_a_page_says_of_its_points_is_read_whatever_it_is() -> None:
    assert points_said("LF-toe_angle-after=abc  RF-x=d=e nothing = =x y=") == {
        "LF-toe_angle-after": "abc",
        "RF-x": "d=e",
        "": "x",
    }
    assert points_said("") == {}


def test_what_rounding_takes_away_is_no_other_value(row: PicturePoints) -> None:
    shown = from_picture(reckoned(row))
    assert with_own_error(shown, row).sd is not None
    off = replace(shown, value=shown.value + Decimal("0.2"))
    assert with_own_error(off, row).sd is None
