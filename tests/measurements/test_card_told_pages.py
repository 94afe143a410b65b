"""A card that is not found is placed by hand; and what is told of where it stood counts."""

from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from horses.models import HistoryLine, Picture
from horses.presenters.history_sentences import history_sentence
from measurements.models import PicturePoints, Reading
from measurements.queries.picture_points import measured_only, values_of
from tests.cast import Cast
from tests.measurements.test_points_pages import as_, page, sent
from tests.pictures import CARD, picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def dirty(cast: Cast, now: datetime, clock_stands: Any) -> Picture:
    return picture(cast.access(cast.owner), now, dirty=True)


@pytest.fixture
def clean(cast: Cast, now: datetime, clock_stands: Any) -> Picture:
    return picture(cast.access(cast.owner), now)


def corners(count: int = 4) -> dict[str, str]:
    """In no order: as somebody tapped them."""
    places = [CARD[n] for n in (2, 0, 3, 1)][:count]
    return {f"p-card_{n}": f"{x},{y}" for n, (x, y) in enumerate(places, start=1)}


def test_a_dirty_card_is_placed_by_hand_and_says_so(cast: Cast, dirty: Picture) -> None:
    owner = as_(cast.owner)
    said = owner.post(page(cast, dirty), sent() | corners(), follow=True).content.decode()
    assert "photo with card, card placed by hand" in said
    row = PicturePoints.objects.get()
    assert row.card_by_hand
    assert row.card_corners == [list(corner) for corner in CARD]
    found = measured_only(values_of(row))
    assert found["toe_length"].value == pytest.approx(94, abs=3)
    told = history_sentence(HistoryLine.objects.get(verb="points.placed"))
    assert "the card placed by hand" in told


def test_it_is_less_sure_than_a_card_that_was_found(
    cast: Cast, dirty: Picture, clean: Picture
) -> None:
    for of, more in ((dirty, corners()), (clean, {})):
        as_(cast.owner).post(page(cast, of), sent() | more)
    by_hand, found = (measured_only(values_of(row)) for row in PicturePoints.objects.order_by("pk"))
    for key in ("toe_angle", "toe_length"):
        assert by_hand[key].sd > 1.2 * found[key].sd


def test_the_readings_method_is_the_cards(cast: Cast, dirty: Picture) -> None:
    owner = as_(cast.owner)
    owner.post(page(cast, dirty), sent() | corners())
    row = PicturePoints.objects.get()
    shown = page(cast, dirty, f"{row.public_id}/")
    owner.post(shown, {"take": ["toe_length"], "trim_state": "between"})
    assert Reading.objects.get().method == "photo_card"


def test_three_corners_are_no_card(cast: Cast, dirty: Picture) -> None:
    answer = as_(cast.owner).post(page(cast, dirty), sent() | corners(3))
    assert answer.status_code == 422
    said = answer.content.decode()
    assert "Place all four corners of the card, or none of them." in said
    assert 'value="300,680"' in said  # those that were placed are still there
    assert not PicturePoints.objects.exists()


def test_corners_that_make_no_square_are_refused_with_the_reason(
    cast: Cast, dirty: Picture
) -> None:
    folded = corners() | {"p-card_1": "180,560"}
    answer = as_(cast.owner).post(page(cast, dirty), sent() | folded)
    assert answer.status_code == 422
    assert "corners" in answer.content.decode()


def test_a_corner_outside_the_picture_is_refused(cast: Cast, dirty: Picture) -> None:
    off = corners() | {"p-card_1": "1300,680"}
    answer = as_(cast.owner).post(page(cast, dirty), sent() | off)
    assert "lies outside the picture" in answer.content.decode()


def test_a_card_that_was_found_is_not_moved_by_hand(cast: Cast, clean: Picture) -> None:
    moved = {f"p-card_{n}": f"{100 * n},{100 * n * n % 700}" for n in range(1, 5)}
    as_(cast.owner).post(page(cast, clean), sent() | moved)
    row = PicturePoints.objects.get()
    assert not row.card_by_hand
    assert row.card_corners is not None
    assert row.card_corners[0] == pytest.approx(CARD[0], abs=0.7)


def lengths(cast: Cast, of: Picture, **more: str) -> str:
    said = as_(cast.owner).get(page(cast, of, "values/"), sent() | more).content.decode()
    return said.partition('data-value="toe_length"')[2].partition("</div>")[0]


def test_the_values_come_by_corners_placed_by_hand(cast: Cast, dirty: Picture) -> None:
    assert "give or take" not in lengths(cast, dirty)
    assert "give or take" not in lengths(cast, dirty, **corners(3))
    assert "give or take" in lengths(cast, dirty, **corners())


def test_a_card_told_nearer_makes_lengths_longer(cast: Cast, clean: Picture) -> None:
    owner = as_(cast.owner)
    for stood in ("nearer", "further", ""):
        off = "40" if stood else ""
        owner.post(page(cast, clean), sent(card_stood=stood, card_off_mm=off))
    rows = list(PicturePoints.objects.order_by("pk"))
    assert [row.card_nearer_mm for row in rows] == [40, -40, None]
    nearer, further, plain = (measured_only(values_of(row))["toe_length"] for row in rows)
    assert further.value < plain.value - 1 < nearer.value - 2
    assert nearer.sd > plain.sd
    said = owner.get(page(cast, clean, f"{rows[0].public_id}/")).content.decode()
    assert "the card 40 mm nearer to the camera than the middle of the foot" in said


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"card_off_mm": "40"}, "Nearer to the camera than the foot, or further away?"),
        ({"card_stood": "nearer"}, "By how much, about?"),
        ({"card_stood": "nearer", "card_off_mm": "abc"}, "A number in mm, such as 40."),
        ({"card_stood": "nearer", "card_off_mm": "900"}, "200"),
        ({"card_stood": "beside", "card_off_mm": "40"}, "Select a valid choice"),
    ],
)
def test_half_of_what_is_told_is_asked_for_beside_its_field(
    told: dict[str, str], words: str, cast: Cast, clean: Picture
) -> None:
    answer = as_(cast.owner).post(page(cast, clean), sent() | told)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    values = as_(cast.owner).get(page(cast, clean, "values/"), sent() | told)
    assert values.status_code == 200
    assert "give or take" not in values.content.decode()


def test_the_editor_opens_where_the_foot_is(cast: Cast, clean: Picture) -> None:
    """Before the card is asked for, the last picture of the foot tells it; then the card does."""
    owner: Client = as_(cast.owner)
    told = owner.get(page(cast, clean, "card/")).json()
    assert len(told["corners"]) == 4
    left, _, right, _ = told["box"]
    assert left < CARD[0][0] < CARD[1][0] + 400 < right
    assert "&quot;box&quot;" in owner.get(page(cast, clean)).content.decode()  # found before: known
