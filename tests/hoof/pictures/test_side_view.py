"""A foot from the side: what the points on a picture say of it."""

import numpy as np
import pytest

from measurements.hoof.pictures.measured import Measured
from measurements.hoof.pictures.side_view import measure_side
from tests.hoof.pictures.camera import Cell, scene

EXACT = Cell(
    "exact",
    tap_px=0.0,
    corner_px=0.0,
    card_off=0.0,
    card_turned=0.0,
    card_leans=0.0,
    size_sd=0.0,
    heel_slant_mm=0.0,
)


@pytest.mark.parametrize("seed", range(8))
def test_a_picture_without_any_error_gives_the_foot_back(seed: int) -> None:
    made = scene(np.random.default_rng(seed), EXACT)
    found = measure_side(made.points, card=made.card, size_px=made.size_px)
    for quantity, truth in made.truth.items():
        answer = found[quantity]
        assert isinstance(answer, Measured)
        assert answer.value == pytest.approx(truth, abs=1.6), quantity
