"""That pictures between visits show a change sooner is said where it is true, and only there."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from measurements.panels.points_sentences import EVERY_THREE_WEEKS
from measurements.services.picture_points import points_place
from tests import build
from tests.cast import Cast
from tests.measurements.test_points_pages import as_, page
from tests.pictures import picture
from tests.stage_pictures import WITH_CARD

pytestmark = pytest.mark.django_db
SOONER = "about 67 days sooner"


def measured(cast: Cast, now: datetime, *states: str, days: int = 49, **more: Any) -> None:
    access = cast.access(cast.farrier)
    for number, state in enumerate(states, start=1):
        on = (now - timedelta(days=days * number)).date()
        build.reading(access, now, "LF", "toe_angle", 51, on, trim_state=state, **more)


def said(cast: Cast, now: datetime, *, foot: str = "LF", view: str = "side") -> bool:
    made = picture(cast.access(cast.owner), now, foot=foot, view=view)
    return SOONER in as_(cast.owner).get(page(cast, made)).content.decode()


def test_of_a_foot_that_is_only_measured_before_the_trim(
    cast: Cast, now: datetime, clock_stands: Any
) -> None:
    measured(cast, now, "before", "before", "before")
    assert said(cast, now)
    assert "simulated" in EVERY_THREE_WEEKS


@pytest.mark.parametrize(
    "states",
    [(), ("before",), ("before", "after"), ("after", "after"), ("before", "before", "between")],
)
def test_of_no_other_foot(
    states: tuple[str, ...], cast: Cast, now: datetime, clock_stands: Any
) -> None:
    measured(cast, now, *states)
    assert not said(cast, now)


def test_of_no_other_view_and_of_no_other_foot_of_the_horse(
    cast: Cast, now: datetime, clock_stands: Any
) -> None:
    measured(cast, now, "before", "before")
    assert not said(cast, now, view="front")
    assert not said(cast, now, foot="RF")


def test_what_was_measured_long_ago_does_not_count(
    cast: Cast, now: datetime, clock_stands: Any
) -> None:
    measured(cast, now, "before", "before", days=300)
    assert not said(cast, now)


def test_the_owners_own_pictures_do_not_end_it(
    cast: Cast, now: datetime, clock_stands: Any
) -> None:
    measured(cast, now, "before", "before")
    access = cast.access(cast.owner)
    made = picture(access, now)
    row = points_place(access=access, picture_id=made.public_id, placed=WITH_CARD, now=now)
    build.reading(
        access,
        now,
        "LF",
        "toe_angle",
        50,
        now.date(),
        trim_state="between",
        method="photo_card",
        points_id=row.pk,
    )
    assert SOONER in as_(cast.owner).get(page(cast, made, f"{row.public_id}/")).content.decode()
