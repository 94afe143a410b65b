"""Finding a farrier, shoes by use, shapes of feet: each sentence with its source, none an order."""

from datetime import datetime, timedelta

import pytest

from horses.domain import finding_farrier
from horses.domain.shoes_by_use import BY_USE, MATERIALS
from horses.domain.sourced import COMMON, NO_STUDY, Sourced
from horses.models import Horse
from horses.services.visit_planning import visit_plan
from measurements.panels.shapes_told import SHAPES, WHOLE_HORSE
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
EVERY: tuple[Sourced, ...] = (
    *finding_farrier.WHERE,
    *finding_farrier.ASK,
    *finding_farrier.KEEP,
    *finding_farrier.STAND_IN,
    finding_farrier.PUNCTUAL,
    *MATERIALS,
    *WHOLE_HORSE,
    *(one.usual for one in BY_USE),
    *(line for one in BY_USE for line in one.found),
    *(line for shape in SHAPES for line in (*shape.says, *shape.found)),
)


def test_every_sentence_has_a_source_and_orders_nobody() -> None:
    for line in EVERY:
        assert line.source
        assert not any(word in line.words.lower() for word in ("you must", "always", "never use"))


def test_what_nobody_has_looked_into_says_so(cast: Cast) -> None:
    text = text_of(Door(cast.owner, cast.case).get("shapes"))
    open_ones = [line for s in SHAPES for line in s.found if line.is_open]
    assert len(open_ones) == len(SHAPES)
    for line in open_ones:
        assert f"{line.words}: <b>{NO_STUDY}</b>" in text
    assert COMMON in text


def test_the_horses_own_last_numbers_stand_beside_the_shape(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    for value, days in ((53, 60), (48, 3)):
        at = now - timedelta(days=days)
        build.reading(farrier, at, "LF", "toe_angle", value, at.date())
    text = text_of(Door(cast.owner, cast.case).get("shapes"))
    assert "<b>48°</b>" in text
    assert "<b>53°</b>" not in text
    assert "Bramble" not in text


def test_without_numbers_it_says_that_there_are_none(cast: Cast) -> None:
    assert "Nothing measured yet" in text_of(Door(cast.owner, cast.case).get("shapes"))


def test_the_horses_own_work_comes_first(cast: Cast) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(use="driven")
    text = text_of(Door(cast.owner, cast.case).get("farrier_help"))
    assert text.index("Road and driving") < text.index("Other work") < text.index("Winter")


def test_how_the_days_were_kept_is_the_boards_own_record(cast: Cast, now: datetime) -> None:
    door = Door(cast.owner, cast.case)
    assert "No visit yet" in text_of(door.get("farrier_help"))
    at = now - timedelta(days=30)
    visit = visit_plan(access=cast.access(cast.farrier), on=at.date(), now=at)
    build.visit(cast.access(cast.farrier), now, now.date(), planned_id=visit.public_id)
    text = " ".join(text_of(door.get("farrier_help")).split())
    assert "<b>Finn Farrier</b>: 0 on the day or near it, 1 late" in text


def test_the_stand_in_is_asked_for_before_a_shoe_is_lost(cast: Cast) -> None:
    assert "A stand-in is on this team" in text_of(Door(cast.owner, cast.case).get("farrier_help"))
    cast.case.memberships.filter(stand_in=True).delete()
    assert "Invite one" in text_of(Door(cast.owner, cast.case).get("farrier_help"))
    assert "Invite one" not in text_of(Door(cast.carer, cast.case).get("farrier_help"))
