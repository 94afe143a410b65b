"""How steady a hand was, from the points it placed."""

import numpy as np

from measurements.hoof.pictures.hands import STEADY_PART, steady_part
from measurements.hoof.pictures.measured import Measured, Point
from measurements.hoof.pictures.side_view import measure_side
from tests.bench.pictures.third_camera import Feet, Shots, Stand, taken

STRAIGHT: dict[str, Point] = {
    "ground_toe": (1_500.0, 1_000.0),
    "toe_low": (1_290.0, 720.0),
    "toe_hairline": (1_050.0, 400.0),
}


def _off(px: float) -> dict[str, Point]:
    return STRAIGHT | {"toe_low": (1_290.0 + 0.8 * px, 720.0 - 0.6 * px)}


def test_points_on_a_straight_wall_speak_for_a_steady_hand() -> None:
    assert steady_part(STRAIGHT, 2.0) > STEADY_PART + 0.07


def test_points_off_the_line_speak_for_an_unsteady_one() -> None:
    assert steady_part(_off(9.0), 2.0) < STEADY_PART - 0.2


def test_a_wall_that_bends_far_says_nothing_of_the_hand() -> None:
    assert abs(steady_part(_off(60.0), 2.0) - STEADY_PART) < 0.1


def test_without_a_third_point_on_a_wall_nothing_is_told() -> None:
    two = {name: STRAIGHT[name] for name in ("ground_toe", "toe_hairline")}
    assert steady_part(two, 2.0) == STEADY_PART


def test_an_unsteady_hand_nobody_spoke_of_is_mostly_within_what_is_said() -> None:
    rng, within = np.random.default_rng(6), {True: 0, False: 0}
    for _ in range(80):
        made = taken(rng, Feet(), Stand(), Shots(tap_px=4.0))
        for known in within:
            answer = measure_side(
                made.points, card=made.card, size_px=made.size_px, tap_px=2.0, tap_known=known
            )["toe_angle"]
            assert isinstance(answer, Measured)
            within[known] += answer.low95 <= made.truth["toe_angle"] <= answer.high95
    assert within[False] >= 70
    assert within[True] < within[False] - 3  # held to a hand of 2 px it is too sure
