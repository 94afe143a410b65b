"""A card whose corners somebody tapped, and one that was said to stand nearer or further."""

import random
from dataclasses import replace
from typing import Any, cast

import numpy as np
import pytest

from measurements.hoof.pictures.homography import in_order
from measurements.hoof.pictures.measured import (
    Card,
    Measured,
    UnusablePicture,
    corner_by_hand_px,
)
from measurements.hoof.pictures.side_view import measure_side
from tests.hoof.pictures.camera import Cell, scene

CARD = ((100.0, 480.0), (300.0, 480.0), (300.0, 680.0), (100.0, 680.0))


def off_by(
    cell: Cell, quantity: str, scenes: int = 100, **card: float
) -> list[tuple[float, float]]:
    """How far values are off, and the errors said, over scenes with this much told of the card."""
    rng, found = np.random.default_rng(31), []
    for _ in range(scenes):
        made = scene(rng, cell)
        assert made.card is not None
        told = replace(made.card, **cast(Any, card))
        value = measure_side(made.points, card=told, size_px=made.size_px, tap_px=cell.tap_px)
        answer = value[quantity]
        if isinstance(answer, Measured):
            found.append((answer.value - made.truth[quantity], answer.sd))
    return found


def covered(found: list[tuple[float, float]]) -> float:
    return float(np.mean([abs(off) < 1.96 * sd for off, sd in found]))


@pytest.mark.parametrize("quantity", ["toe_angle", "heel_angle", "toe_length"])
def test_the_errors_of_a_card_placed_by_hand_hold(quantity: str) -> None:
    """Tapped corners lie as far off as other points; taken for found ones, too many values would lie
    outside their error (in 300 scenes 19 to 30 of 100)."""
    by_hand = Cell("by hand", corner_px=corner_by_hand_px(2.0))
    told = covered(off_by(by_hand, quantity, corner_px=corner_by_hand_px(2.0)))
    assert told > 0.9
    assert covered(off_by(by_hand, quantity)) < told - 0.08


@pytest.mark.parametrize("nearer", [40.0, -40.0])
def test_what_is_told_of_the_cards_place_takes_the_bias_off_a_length(nearer: float) -> None:
    cell = Cell("off", card_nearer=nearer)
    told = off_by(cell, "toe_length", nearer_mm=nearer)
    not_told = off_by(cell, "toe_length")
    assert abs(np.mean([off for off, _ in told])) < 0.8
    assert abs(np.mean([off for off, _ in not_told])) > 3.0
    assert covered(told) > 0.9


def test_a_place_that_is_told_makes_a_length_less_sure_than_one_in_line() -> None:
    def sd(**card: float) -> float:
        return float(np.mean([sd for _, sd in off_by(Cell("plain"), "toe_length", 20, **card)]))

    assert sd(nearer_mm=80.0) > 1.5 * sd(nearer_mm=1.0)


def test_a_place_that_is_no_number_is_refused() -> None:
    with pytest.raises(UnusablePicture, match="number"):
        Card(CARD, 60.0, nearer_mm=float("nan"))


def test_corners_are_put_in_order_however_they_were_tapped() -> None:
    for seed in range(8):
        mixed = random.Random(seed).sample(CARD, 4)
        assert in_order(mixed) == list(CARD)
