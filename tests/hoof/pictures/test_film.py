"""A foot on a film: distances by the marker, angles without it."""

import math

import pytest

from measurements.hoof.pictures.film import measure_film_front, measure_film_side
from measurements.hoof.pictures.measured import Measured, Point, Refused, Results, UnusablePicture

PX_PER_MM = 8.0


def _value(found: Results, quantity: str) -> float:
    answer = found[quantity]
    assert isinstance(answer, Measured), answer
    return answer.value


def _px(places: dict[str, Point]) -> dict[str, Point]:
    """Places in mm, right and up, as points in px."""
    return {name: (200 + PX_PER_MM * x, 1500 - PX_PER_MM * y) for name, (x, y) in places.items()}


def _along(start: Point, angle_deg: float, length: float) -> Point:
    lean = math.radians(angle_deg)
    return start[0] + length * math.cos(lean), start[1] + length * math.sin(lean)


# The toe to the left. Wall at 50 deg; the bone's front 3 deg steeper, 16 mm behind it high up.
WALL_LOW = (0.0, 10.0)
WALL_HIGH = _along(WALL_LOW, 50, 70)
BONE_HIGH = _along(WALL_HIGH, -40, 16)
BONE_LOW = _along(BONE_HIGH, 180 + 53, 45)
TIP = (30.0, 22.0)
SIDE = {
    "marker_start": (60.0, 120.0),
    "marker_end": (110.0, 120.0),
    "ground_toe": (8.0, 0.0),
    "ground_heel": (120.0, 0.0),
    "wall_low": WALL_LOW,
    "wall_high": WALL_HIGH,
    "bone_low": BONE_LOW,
    "bone_high": BONE_HIGH,
    "bone_tip": TIP,
    "bone_heel": _along(TIP, 4, 70),
    "sole_under_tip": (30.0, 8.0),
    "extensor": (70.0, 78.0),
    "hairline": (60.0, 84.0),
    "breakover": (14.0, 0.0),
}
EXPECTED = {
    "palmar_angle": 4.0,
    "sole_depth": 14.0,
    "extensor_below_hairline": 6.0,
    "tip_to_breakover": 16.0,
    "capsule_against_bone": 3.0,
}


@pytest.mark.parametrize(("quantity", "expected"), EXPECTED.items())
def test_a_drawn_film_gives_back_what_was_drawn(quantity: str, expected: float) -> None:
    found = measure_film_side(_px(SIDE), marker_mm=50.0)
    assert _value(found, quantity) == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("roll_deg", [-12.0, 9.0])
def test_a_film_held_askew_says_the_same(roll_deg: float) -> None:
    lean = math.radians(roll_deg)
    turned = {
        name: (x * math.cos(lean) - y * math.sin(lean), x * math.sin(lean) + y * math.cos(lean))
        for name, (x, y) in _px(SIDE).items()
    }
    found = measure_film_side(turned, marker_mm=50.0)
    for quantity, expected in EXPECTED.items():
        assert _value(found, quantity) == pytest.approx(expected, abs=0.05), quantity


def test_a_film_turned_round_says_the_same() -> None:
    mirrored = {name: (3000 - x, y) for name, (x, y) in _px(SIDE).items()}
    found = measure_film_side(mirrored, marker_mm=50.0)
    for quantity, expected in EXPECTED.items():
        assert _value(found, quantity) == pytest.approx(expected, abs=0.05), quantity


def test_the_wall_is_told_from_the_line_of_the_bone() -> None:
    found = measure_film_side(_px(SIDE), marker_mm=50.0)
    assert _value(found, "wall_to_bone_high") == pytest.approx(
        16 * math.cos(math.radians(3)), abs=0.1
    )
    assert _value(found, "wall_to_bone_low") > _value(found, "wall_to_bone_high")


def test_a_bone_below_level_is_less_than_nothing() -> None:
    sunk = SIDE | {"bone_heel": _along(TIP, -3, 70)}
    assert _value(measure_film_side(_px(sunk), marker_mm=50.0), "palmar_angle") < 0


def test_without_a_marker_angles_are_told_and_lengths_refused() -> None:
    found = measure_film_side(_px(SIDE), marker_mm=None)
    assert _value(found, "palmar_angle") == pytest.approx(4.0, abs=0.05)
    refused = found["sole_depth"]
    assert isinstance(refused, Refused)
    assert "marker" in refused.reason


def test_the_scale_of_the_marker_is_part_of_the_error() -> None:
    found = measure_film_side(_px(SIDE), marker_mm=50.0, tap_px=1.0)
    long, short = found["wall_to_bone_low"], found["sole_depth"]
    assert isinstance(long, Measured)
    assert isinstance(short, Measured)
    assert short.sd > 0.5  # of two edges seen to half a millimetre


def test_a_sole_above_the_bone_is_refused() -> None:
    wrong = SIDE | {"sole_under_tip": (30.0, 40.0)}
    assert isinstance(measure_film_side(_px(wrong), marker_mm=50.0)["sole_depth"], Refused)


@pytest.mark.parametrize("marker_mm", [1.0, 5_000.0])
def test_a_marker_of_no_likely_length_is_refused(marker_mm: float) -> None:
    found = measure_film_side(_px(SIDE), marker_mm=marker_mm)
    assert all(isinstance(answer, Refused) for answer in found.values())


def test_a_length_that_is_no_number_is_no_marker() -> None:
    with pytest.raises(UnusablePicture):
        measure_film_side(_px(SIDE), marker_mm=float("nan"))


FRONT = {
    "marker_start": (60.0, 120.0),
    "marker_end": (110.0, 120.0),
    "ground_inside": (0.0, 0.0),
    "ground_outside": (120.0, 0.0),
    "bone_inside": (25.0, 24.0),
    "bone_outside": (95.0, 21.0),
    "joint_inside": (30.0, 60.0 + 60 * math.tan(math.radians(2.0))),
    "joint_outside": (90.0, 60.0),
}


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_film_from_the_front_tells_both_depths_and_the_joint(mirrored: bool) -> None:
    points = _px(FRONT)
    if mirrored:
        points = {name: (3000 - x, y) for name, (x, y) in points.items()}
    found = measure_film_front(points, marker_mm=50.0)
    assert _value(found, "inside_depth") == pytest.approx(24, abs=0.05)
    assert _value(found, "outside_depth") == pytest.approx(21, abs=0.05)
    assert _value(found, "joint_line") == pytest.approx(2.0, abs=0.1)
