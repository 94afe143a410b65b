"""Front, sole and whole horse: drawn square on, they give back what was drawn."""

import math

import pytest

from measurements.hoof.pictures.measured import Card, Measured, Point, Refused, Results
from measurements.hoof.pictures.views import VIEWS, measure

PX_PER_MM = 8.0
SIZE = (2_400.0, 1_800.0)


def _px(place: Point) -> Point:
    return 700 + PX_PER_MM * place[0], 1_500 - PX_PER_MM * place[1]


def _all(places: dict[str, Point]) -> dict[str, Point]:
    return {name: _px(place) for name, place in places.items()}


def _card(x: float, y: float) -> Card:
    """A card of 60 mm, its lower left corner there."""
    corners = ((x, y + 60), (x + 60, y + 60), (x + 60, y), (x, y))
    return Card((_px(corners[0]), _px(corners[1]), _px(corners[2]), _px(corners[3])), 60.0)


def _value(found: Results, quantity: str) -> float:
    answer = found[quantity]
    assert isinstance(answer, Measured), answer
    return answer.value


# The inside to the left: its wall at 80 deg, the outside one at 75.
FRONT = {
    "ground_inside": (0.0, 0.0),
    "ground_outside": (120.0, 0.0),
    "inside_low": (1.0, 5.0),
    "inside_hairline": (1.0 + 50 / math.tan(math.radians(80)), 55.0),
    "outside_low": (119.0, 5.0),
    "outside_hairline": (119.0 - 47 / math.tan(math.radians(75)), 52.0),
}


@pytest.mark.parametrize("mirrored", [False, True])
def test_the_front_gives_both_walls_and_which_side_is_higher(mirrored: bool) -> None:
    places = FRONT
    if mirrored:
        places = {name: (120 - x, y) for name, (x, y) in FRONT.items()}
    found = measure("front", _all(places), card=_card(140, 5), size_px=SIZE)
    assert _value(found, "inside_wall_angle") == pytest.approx(80, abs=0.4)
    assert _value(found, "outside_wall_angle") == pytest.approx(75, abs=0.4)
    assert _value(found, "height_difference") == pytest.approx(3, abs=0.3)


def test_the_front_without_a_card_has_angles_and_no_lengths() -> None:
    found = measure("front", _all(FRONT), size_px=SIZE)
    assert _value(found, "inside_wall_angle") == pytest.approx(80, abs=1.0)
    assert isinstance(found["height_difference"], Refused)


SOLE = {
    "toe": (0.0, 130.0),
    "heel_inside": (-35.0, 0.0),
    "heel_outside": (35.0, 0.0),
    "widest_inside": (-62.0, 70.0),
    "widest_outside": (62.0, 70.0),
    "breakover": (0.0, 122.0),
    "frog_tip": (0.0, 85.0),
    "frog_back": (0.0, 2.0),
    "frog_inside": (-27.0, 10.0),
    "frog_outside": (27.0, 10.0),
}
ON_THE_SOLE = {
    "hoof_length": 130.0,
    "hoof_width": 124.0,
    "frog_length": 83.0,
    "frog_width": 54.0,
    "breakover_to_heel": 122.0,
    "breakover_to_widest": 52.0,
    "widest_to_heel": 70.0,
}


@pytest.mark.parametrize(("quantity", "expected"), ON_THE_SOLE.items())
def test_the_sole_gives_back_its_lengths(quantity: str, expected: float) -> None:
    found = measure("sole", _all(SOLE), card=_card(-30, 25), size_px=SIZE)
    assert _value(found, quantity) == pytest.approx(expected, abs=1.0)


def test_a_sole_lying_on_its_side_says_the_same() -> None:
    points = {name: (y, 2_000 - x) for name, (x, y) in _all(SOLE).items()}
    flat = _card(-30, 25).corners
    turned = [(y, 2_000 - x) for x, y in flat]
    card = Card((turned[0], turned[1], turned[2], turned[3]), 60.0)
    found = measure("sole", points, card=card, size_px=(1_800.0, 2_400.0))
    assert _value(found, "breakover_to_heel") == pytest.approx(122, abs=1.0)


def test_a_sole_without_a_card_says_nothing() -> None:
    found = measure("sole", _all(SOLE), size_px=SIZE)
    assert all(isinstance(answer, Refused) for answer in found.values())


def test_a_widest_part_behind_the_heels_is_refused() -> None:
    wrong = SOLE | {"widest_inside": (-62.0, -20.0), "widest_outside": (62.0, -20.0)}
    found = measure("sole", _all(wrong), card=_card(-30, 25), size_px=SIZE)
    assert isinstance(found["widest_to_heel"], Refused)
    assert isinstance(found["hoof_width"], Measured)


HORSE = {
    "shoulder_low": (500.0, 900.0),
    "shoulder_high": (500.0 + 300, 900.0 - 300),
    "pastern_low": (480.0, 1_500.0),
    "pastern_high": (480.0 + 50, 1_500.0 - 60),
    "hoof_low": (430.0, 1_580.0),
    "hoof_high": (430.0 + 50, 1_580.0 - 60),
}


def test_a_whole_horse_gives_three_slopes_and_two_differences() -> None:
    found = measure("whole", HORSE)
    assert _value(found, "shoulder_slope") == pytest.approx(45, abs=1.0)
    assert _value(found, "pastern_slope") == pytest.approx(50.2, abs=1.0)
    assert _value(found, "pastern_less_hoof") == pytest.approx(0, abs=0.5)
    assert _value(found, "shoulder_less_pastern") == pytest.approx(-5.2, abs=1.0)


def test_a_whole_horse_is_coarse_and_says_so() -> None:
    found = measure("whole", HORSE)
    for quantity in ("shoulder_slope", "shoulder_less_pastern"):
        answer = found[quantity]
        assert isinstance(answer, Measured)
        assert answer.sd > 4.0


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_phone_held_askew_is_set_right_by_the_ground(mirrored: bool) -> None:
    lean = math.radians(4)
    ground = {"ground_front": (430.0, 1_600.0), "ground_back": (1_900.0, 1_600.0)}
    turned = {
        name: (x * math.cos(lean) - y * math.sin(lean), x * math.sin(lean) + y * math.cos(lean))
        for name, (x, y) in (HORSE | ground).items()
    }
    if mirrored:
        turned = {name: (3_000 - x, y) for name, (x, y) in turned.items()}
    found = measure("whole", turned)
    assert _value(found, "shoulder_slope") == pytest.approx(45, abs=1.0)


def test_every_view_asks_only_for_points_it_has() -> None:
    for view in VIEWS.values():
        for quantity, needed in view.needed.items():
            assert set(needed) <= set(view.names), quantity


@pytest.mark.parametrize("view", list(VIEWS))
def test_without_points_a_view_refuses_everything_in_words(view: str) -> None:
    found = measure(view, {})
    assert set(found) == set(VIEWS[view].needed)
    assert all(isinstance(answer, Refused) and answer.reason for answer in found.values())


def test_the_unit_of_every_value_is_the_one_announced() -> None:
    made = {
        "front": measure("front", _all(FRONT), card=_card(140, 5), size_px=SIZE),
        "sole": measure("sole", _all(SOLE), card=_card(-30, 25), size_px=SIZE),
        "whole": measure("whole", HORSE),
    }
    for view, found in made.items():
        for quantity, answer in found.items():
            assert isinstance(answer, Measured)
            assert answer.unit == VIEWS[view].unit_of(quantity), quantity
