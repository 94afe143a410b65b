"""Where an editor looks first: at the foot, told by the card or by an earlier picture's points."""

import pytest

from measurements.hoof.pictures.look_at import Box, box_by_card, box_by_points

# A square of 200 px before the toe of a foot on a picture of 1,200 x 900.
CARD = ((100.0, 480.0), (300.0, 480.0), (300.0, 680.0), (100.0, 680.0))
POINTS = [
    (400.0, 700.0),
    (800.0, 700.0),
    (517.5, 560.0),
    (601.4, 460.0),
    (815.0, 685.0),
    (900.0, 600.0),
]
SIZE = (4000.0, 3000.0)
CORNERS = [(x + 1500.0, y + 1500.0) for x, y in CARD]  # a square of 200 px, far from every edge
FOOT = [(x + 1500.0, y + 1500.0) for x, y in POINTS]


def holds(box: Box, places: list[tuple[float, float]]) -> bool:
    left, top, right, bottom = box
    return all(left <= x <= right and top <= y <= bottom for x, y in places)


def test_the_foot_stands_behind_a_card_before_its_toe() -> None:
    box = box_by_card(CORNERS, 60, SIZE, True)
    assert holds(box, [*CORNERS, *FOOT])
    assert box[2] - box[0] < SIZE[0] / 2
    mirrored = [(SIZE[0] - x, y) for x, y in [*CORNERS, *FOOT]]
    assert holds(box_by_card(mirrored[:4], 60, SIZE, False), mirrored)


@pytest.mark.parametrize("toe_left", [True, False, None])
def test_it_stays_on_the_picture(toe_left: bool | None) -> None:
    left, top, right, bottom = box_by_card(CARD, 60, (1200.0, 900.0), toe_left)
    assert 0 <= left < right <= 1200
    assert 0 <= top < bottom <= 900
    assert holds((left, top, right, bottom), list(CARD))


def test_taken_from_inside_the_foot_stands_on_the_cards_other_side() -> None:
    """A left foot whose toe points to the right: the card is at the right edge."""
    mirrored = [(1200.0 - x, y) for x, y in [*CARD, *POINTS]]
    assert holds(box_by_card(mirrored[:4], 60, (1200.0, 900.0), True), mirrored)


def test_a_foot_not_seen_from_the_side_may_stand_all_round() -> None:
    left, top, right, bottom = box_by_card(CORNERS, 60, SIZE, None)
    (x0, y0), (x1, y1) = CORNERS[0], CORNERS[2]
    assert (x0 - left, right - x1) == pytest.approx((y0 - top, bottom - y1))


def test_the_points_of_an_earlier_picture_tell_it_by_their_share() -> None:
    points = POINTS
    box = box_by_points(points, (1200.0, 900.0), (2400.0, 1800.0))
    assert box is not None
    assert holds(box, [(2 * x, 2 * y) for x, y in points])
    assert not holds(box, points[:1])


@pytest.mark.parametrize(("points", "on"), [(2, (2400.0, 1800.0)), (6, (1800.0, 2400.0))])
def test_too_few_points_or_another_shape_tell_nothing(points: int, on: tuple[float, float]) -> None:
    assert box_by_points(POINTS[:points], (1200.0, 900.0), on) is None
