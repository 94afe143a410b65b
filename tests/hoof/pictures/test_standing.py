"""What the ground under a card and a foot tells of depth, and what it does not."""

from dataclasses import replace

import numpy as np
import pytest

from measurements.hoof.pictures.measured import CARD_OFF_MM_SD, Measured
from measurements.hoof.pictures.side_view import measure_side
from tests.bench.pictures.third_camera import Feet, Shots, Stand, taken
from tests.hoof.pictures.camera import Scene

UPRIGHT = Stand(turned=0.0, leans=0.0, rolled=0.0)
FAR_OFF = replace(UPRIGHT, off=40.0, off_exact=True)
FROM_ABOVE, FROM_THE_GROUND = Shots(looks_down=(8.0, 10.0)), Shots(looks_down=(-3.5, -2.5))
BROAD, NARROW = Feet(), Feet(nearer=(8.0, 12.0))


def _found(
    scenes: int, feet: Feet, stand: Stand, shots: Shots, quantity: str, **told: float
) -> tuple[np.ndarray, np.ndarray]:
    """Errors and half intervals (n,)."""
    rng, found = np.random.default_rng(4), []
    for _ in range(scenes):
        made: Scene = taken(rng, feet, stand, shots)
        card_off = told.get("card_off_mm_sd")
        answer = measure_side(
            made.points, card=made.card, size_px=made.size_px, card_off_mm_sd=card_off
        )[quantity]
        assert isinstance(answer, Measured)
        found.append((answer.value - made.truth[quantity], answer.high95 - answer.value))
    error, half = np.array(found).T
    return error, half


def _root(error: np.ndarray) -> float:
    return float(np.sqrt(np.square(error).mean()))


def test_a_card_that_stands_far_off_the_foot_is_found_out_from_above() -> None:
    error, half = _found(30, BROAD, FAR_OFF, FROM_ABOVE, "toe_length")
    told, _ = _found(30, BROAD, FAR_OFF, FROM_ABOVE, "toe_length", card_off_mm_sd=CARD_OFF_MM_SD)
    assert _root(error) < 0.8 * _root(told)  # told that it stands in the foot's plane, as if it did
    assert np.mean(np.abs(error) <= half) > 0.85


@pytest.mark.parametrize(("quarter", "middle_mm"), [(1, 45.0), (2, 40.0), (3, 45.0)])
def test_a_card_on_another_edge_is_taken_to_stand_on_that_edge(
    quarter: int, middle_mm: float
) -> None:
    rng, errors = np.random.default_rng(5), []
    for _ in range(12):
        made = taken(rng, BROAD, replace(FAR_OFF, middle=(middle_mm, middle_mm)), FROM_ABOVE)
        assert made.card is not None
        a, b, c, d = (made.card.corners[(place + quarter) % 4] for place in range(4))
        wrong, right = (
            measure_side(made.points, card=card, size_px=made.size_px)["toe_length"]
            for card in (made.card, replace(made.card, corners=(a, b, c, d)))
        )
        assert isinstance(wrong, Measured)
        assert isinstance(right, Measured)
        truth = made.truth["toe_length"]
        errors.append((wrong.value - truth, right.value - truth))
    as_printed, as_it_stands = np.array(errors).T
    assert _root(as_it_stands) < 0.9 * _root(as_printed)


def test_told_where_the_card_stands_the_ground_still_says_how_broad_the_foot_is() -> None:
    told, _ = _found(30, NARROW, UPRIGHT, FROM_ABOVE, "toe_angle", card_off_mm_sd=CARD_OFF_MM_SD)
    held = replace(UPRIGHT, rolled=3.0, middle=(60.0, 90.0))
    unknown, _ = _found(30, NARROW, held, FROM_ABOVE, "toe_angle", card_off_mm_sd=CARD_OFF_MM_SD)
    assert abs(told.mean()) < 0.75 * abs(unknown.mean())


def test_from_the_height_of_the_ground_nothing_tells_and_the_interval_stays_wide() -> None:
    _, above = _found(20, BROAD, UPRIGHT, FROM_ABOVE, "toe_length")
    _, level = _found(20, BROAD, UPRIGHT, FROM_THE_GROUND, "toe_length")
    assert level.mean() > 1.5 * above.mean()


def test_a_card_held_at_any_height_does_not_spoil_the_lengths() -> None:
    held = Stand(rolled=2.0, middle=(40.0, 90.0))
    error, half = _found(50, BROAD, held, Shots(), "toe_length")
    assert _root(error) < 2.0
    assert np.mean(np.abs(error) <= half) > 0.93


def test_a_card_on_a_block_is_not_taken_for_one_far_off() -> None:
    block = replace(UPRIGHT, middle=(60.0, 60.0))
    error, half = _found(40, BROAD, block, Shots(), "toe_length")
    assert _root(error) < 2.0
    assert np.mean(np.abs(error) <= half) > 0.93
