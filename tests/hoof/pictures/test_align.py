"""Two pictures of one foot are brought to one ground line and scale."""

import math
import random
from dataclasses import replace

import pytest

from measurements.hoof.pictures.align import CannotAlign, Grounded, mm_per_px, onto

CHANCE = random.Random(20261129)


def foot(toe: tuple[float, float], long_px: float, turn_deg: float, *, to_the: int = 1) -> Grounded:
    way = math.radians(turn_deg)
    heel = toe[0] + to_the * long_px * math.cos(way), toe[1] + long_px * math.sin(way)
    return Grounded(toe, heel)


def any_foot(*, to_the: int = 1) -> Grounded:
    toe = CHANCE.uniform(-3000, 3000), CHANCE.uniform(-3000, 3000)
    return foot(toe, CHANCE.uniform(150, 1500), CHANCE.uniform(-30, 30), to_the=to_the)


def test_without_a_card_toe_lies_on_toe_and_heel_on_heel() -> None:
    for to_the in (1, -1) * 100:
        then, now = any_foot(to_the=to_the), any_foot()
        laid = onto(then, now)
        assert laid.on(then.ground_toe) == pytest.approx(now.ground_toe, abs=1e-6)
        assert laid.on(then.ground_heel) == pytest.approx(now.ground_heel, abs=1e-6)
        assert (laid.by_card, laid.mirrored) == (False, to_the == -1)


def test_with_a_card_on_both_a_millimetre_is_as_long_on_both() -> None:
    for _ in range(100):
        scale, other = CHANCE.uniform(0.05, 2), CHANCE.uniform(0.05, 2)
        then, now = replace(any_foot(), mm_per_px=scale), replace(any_foot(), mm_per_px=other)
        laid = onto(then, now)
        assert laid.by_card
        assert laid.scale == pytest.approx(scale / other)
        heel = laid.on(then.ground_heel)
        assert laid.on(then.ground_toe) == pytest.approx(now.ground_toe, abs=1e-6)
        long_mm = math.dist(laid.on(then.ground_toe), heel) * other
        assert long_mm == pytest.approx(then.ground_px * scale)


def test_what_stood_up_stands_up_afterwards_also_when_mirrored() -> None:
    """A point above the ground, so a smaller y, stays above it."""
    now = foot((500, 800), 400, 3)
    for then in (foot((600, 900), 300, -4), foot((600, 900), 300, 4, to_the=-1)):
        above = onto(then, now).on((then.ground_toe[0], then.ground_toe[1] - 200))
        assert above[1] < now.ground_toe[1] - 200


def test_a_card_on_one_only_is_no_scale() -> None:
    then = Grounded((0, 0), (300, 0), 0.3)
    assert not onto(then, Grounded((0, 0), (200, 0))).by_card


def test_toe_and_heel_on_one_place_say_nothing_of_the_ground() -> None:
    good = Grounded((0, 0), (300, 0))
    for bad in (Grounded((5, 5), (5, 5)), Grounded((5, 5), (60, 5))):
        for pair in ((bad, good), (good, bad)):
            with pytest.raises(CannotAlign):
                onto(*pair)


def test_the_scale_is_the_mean_of_the_cards_sides() -> None:
    square = [(0.0, 0.0), (200.0, 0.0), (200.0, 200.0), (0.0, 200.0)]
    assert mm_per_px(square, 60) == pytest.approx(0.3)
    turned = [(0.0, 0.0), (200.0 * math.cos(math.radians(15)), 0.0)]
    turned += [(turned[1][0], 200.0), (0.0, 200.0)]
    assert mm_per_px(turned, 60) == pytest.approx(0.3, rel=0.02)


@pytest.mark.parametrize(
    ("corners", "card_mm"),
    [
        ([], 60),
        ([(0, 0)] * 4, 60),
        ([(0, 0), (9, 0), (9, 9), (0, 9)], 0),
        ([(0, 0), (9, 0), (9, 9)], 60),
    ],
)
def test_what_is_no_card_has_no_scale(corners: list[tuple[float, float]], card_mm: float) -> None:
    with pytest.raises(CannotAlign):
        mm_per_px(corners, card_mm)
