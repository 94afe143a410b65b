"""Points are placed, placed again by others, and become readings with their own error."""

from datetime import datetime
from decimal import Decimal

import pytest

from horses.models import Picture
from measurements.models import PicturePoints
from measurements.queries.picture_points import values_of
from measurements.services.picture_points import Placed, measured, points_place
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
    found = measured(values_of(place(cast, "farrier", side, now)))
    assert found["toe_angle"].value == pytest.approx(50, abs=1)
    assert found["toe_length"].value == pytest.approx(94, abs=3)
    assert "pastern_angle" not in found
