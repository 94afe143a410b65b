"""Front and sole in true perspective: the errors said are those made."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from measurements.hoof.pictures.measured import Measured
from measurements.hoof.pictures.views import measure
from tests.hoof.pictures.camera import Cell, Scene
from tests.hoof.pictures.flat_scenes import front_scene, sole_scene

NEAR = Cell("near", fill=(0.4, 0.5))
SOLE = replace(NEAR, card_leans=3.4, card_turned=4.8)  # a card laid on a sole by hand
SCENES = 70


@pytest.mark.parametrize(
    ("view", "made_up", "cell"),
    [
        ("front", front_scene, NEAR),
        ("front", front_scene, replace(NEAR, distance_mm=(1_500.0, 3_000.0), tap_px=4.0)),
        ("sole", sole_scene, SOLE),
        ("sole", sole_scene, replace(SOLE, distance_mm=(1_500.0, 3_000.0), tap_px=4.0)),
    ],
)
def test_the_errors_said_are_those_made(
    view: str, made_up: Callable[[np.random.Generator, Cell], Scene], cell: Cell
) -> None:
    rng = np.random.default_rng(21)
    missed: list[float] = []
    off: dict[str, list[float]] = {}
    for _ in range(SCENES):
        made = made_up(rng, cell)
        found = measure(view, made.points, card=made.card, size_px=made.size_px, tap_px=cell.tap_px)
        for quantity, truth in made.truth.items():
            answer = found[quantity]
            assert isinstance(answer, Measured), answer
            missed.append((answer.value - truth) / answer.sd)
            off.setdefault(quantity, []).append(missed[-1])
    assert 0.75 < np.std(missed) < 1.15
    assert np.mean(np.abs(missed) < 1.96) > 0.92
    assert all(abs(np.mean(each)) < 0.45 for each in off.values())
