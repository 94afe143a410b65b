"""What must hold for any picture from the side: nothing crashes, and nothing but the foot counts."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.hoof.pictures.measured import (
    TAP_PX,
    Card,
    Measured,
    Point,
    Refused,
    UnusablePicture,
)
from measurements.hoof.pictures.side_view import NAMES, NEEDED, measure_side
from tests.hoof.pictures.camera import Cell, Scene, scene

PLAIN = Cell("plain", card_leans=0.0, card_turned=0.0)
places = st.tuples(st.floats(0, 4_000), st.floats(0, 4_000))


def _values(made: Scene, tap_px: float = TAP_PX) -> dict[str, float]:
    found = measure_side(made.points, card=made.card, size_px=made.size_px, tap_px=tap_px)
    return {name: each.value for name, each in found.items() if isinstance(each, Measured)}


def _moved(made: Scene, move: "object") -> Scene:
    assert callable(move)
    assert made.card is not None
    corners = [move(corner) for corner in made.card.corners]
    card = replace(made.card, corners=(corners[0], corners[1], corners[2], corners[3]))
    return replace(made, points={n: move(p) for n, p in made.points.items()}, card=card)


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(st.sampled_from(NAMES), places),
    st.one_of(st.none(), st.tuples(places, places, places, places)),
    st.floats(-10, 1_000),
)
def test_any_points_give_values_or_reasons(
    points: dict[str, Point],
    corners: tuple[Point, Point, Point, Point] | None,
    side_mm: float,
) -> None:
    card = None if corners is None else Card(corners, side_mm)
    found = measure_side(points, card=card, size_px=(4_000, 4_000))
    assert set(found) == set(NEEDED)
    for answer in found.values():
        if isinstance(answer, Refused):
            assert answer.reason.endswith(".")
        else:
            assert math.isfinite(answer.value)
            assert answer.low95 < answer.value < answer.high95


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.lists(st.floats(-40, 40), min_size=8, max_size=8))
def test_a_bent_card_gives_values_or_reasons(seed: int, bends: list[float]) -> None:
    made = scene(np.random.default_rng(seed), PLAIN)
    assert made.card is not None
    bent = [(x + bends[2 * n], y + bends[2 * n + 1]) for n, (x, y) in enumerate(made.card.corners)]
    card = Card((bent[0], bent[1], bent[2], bent[3]), 60.0)
    for answer in measure_side(made.points, card=card, size_px=made.size_px).values():
        assert isinstance(answer, Refused) or math.isfinite(answer.sd)


@pytest.mark.parametrize("seed", range(4))
def test_the_order_in_which_points_were_placed_does_not_count(seed: int) -> None:
    made = scene(np.random.default_rng(seed), PLAIN)
    shuffled = list(made.points.items())
    random.Random(seed).shuffle(shuffled)
    assert _values(replace(made, points=dict(shuffled))) == _values(made)


@pytest.mark.parametrize("seed", range(4))
def test_a_picture_of_twice_the_size_says_the_same(seed: int) -> None:
    made = scene(np.random.default_rng(seed), PLAIN)
    twice = _moved(made, lambda p: (2 * p[0], 2 * p[1]))
    assert twice.card is not None
    twice = replace(twice, card=replace(twice.card, corner_px=0.6), size_px=(4_800.0, 3_600.0))
    first, second = _values(made), _values(twice, tap_px=4.0)
    for quantity, value in first.items():
        assert second[quantity] == pytest.approx(value, abs=0.05), quantity


@pytest.mark.parametrize("seed", range(4))
def test_a_foot_pointing_the_other_way_says_the_same(seed: int) -> None:
    made = scene(np.random.default_rng(seed), PLAIN)
    mirrored = _moved(made, lambda p: (made.size_px[0] - p[0], p[1]))
    assert mirrored.card is not None
    top_left, top_right, low_right, low_left = mirrored.card.corners
    card = replace(mirrored.card, corners=(top_right, top_left, low_left, low_right))
    first, second = _values(made), _values(replace(mirrored, card=card))
    for quantity, value in first.items():  # lengths differ by how the card's place was drawn
        within = 1.0 if "length" in quantity else 0.25
        assert second[quantity] == pytest.approx(value, abs=within), quantity


@pytest.mark.parametrize("turned_deg", [-20.0, 15.0])
def test_a_phone_held_askew_says_the_same(turned_deg: float) -> None:
    made = scene(np.random.default_rng(3), PLAIN)
    lean, (width, height) = math.radians(turned_deg), made.size_px

    def turn(place: Point) -> Point:
        x, y = place[0] - width / 2, place[1] - height / 2
        return (
            width / 2 + x * math.cos(lean) - y * math.sin(lean),
            height / 2 + x * math.sin(lean) + y * math.cos(lean),
        )

    first, second = _values(made), _values(_moved(made, turn))
    for quantity, value in first.items():
        assert second[quantity] == pytest.approx(value, abs=0.25), quantity


@pytest.mark.parametrize("quarter", [1, 2, 3])
def test_a_card_stood_on_another_edge_says_the_same(quarter: int) -> None:
    made = scene(np.random.default_rng(4), PLAIN)
    assert made.card is not None
    turned = [made.card.corners[(n + quarter) % 4] for n in range(4)]
    card = replace(made.card, corners=(turned[0], turned[1], turned[2], turned[3]))
    first, second = _values(made), _values(replace(made, card=card))
    for (
        quantity,
        value,
    ) in first.items():  # its face ends elsewhere, if it stands: see test_standing
        within = 1.0 if "length" in quantity else 0.3
        assert second[quantity] == pytest.approx(value, abs=within), quantity


def test_more_error_of_a_tap_is_more_error_of_a_value() -> None:
    made = scene(np.random.default_rng(5), PLAIN)
    sds = []
    for tap_px in (1.0, 2.0, 4.0):
        found = measure_side(made.points, card=made.card, size_px=made.size_px, tap_px=tap_px)
        answer = found["toe_angle"]
        assert isinstance(answer, Measured)
        sds.append(answer.sd)
    assert sds[0] < sds[1] < sds[2]


def test_a_card_further_off_its_plane_costs_lengths_and_hardly_angles() -> None:
    made = scene(np.random.default_rng(6), PLAIN)
    near, off = (
        measure_side(made.points, card=made.card, size_px=made.size_px, card_off_mm_sd=sd)
        for sd in (2.0, 30.0)
    )
    sds = {
        quantity: [
            each.sd for each in (near[quantity], off[quantity]) if isinstance(each, Measured)
        ]
        for quantity in NEEDED
    }
    assert sds["toe_length"][1] > 2 * sds["toe_length"][0]
    assert sds["toe_angle"][1] < 1.1 * sds["toe_angle"][0]


@pytest.mark.parametrize("tap_px", [0.0, -1.0, float("nan"), float("inf")])
def test_a_tap_error_of_nothing_is_refused(tap_px: float) -> None:
    made = scene(np.random.default_rng(7), PLAIN)
    with pytest.raises(UnusablePicture):
        measure_side(made.points, card=made.card, tap_px=tap_px)


def test_a_point_that_is_no_place_is_refused() -> None:
    with pytest.raises(UnusablePicture, match="not on the picture"):
        measure_side({"ground_toe": (float("nan"), 3.0)})
