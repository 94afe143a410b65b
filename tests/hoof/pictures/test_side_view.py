"""A foot from the side: what the points on a picture say of it."""

import numpy as np
import pytest

from measurements.hoof.pictures.measured import CARD_OFF_MM_SD, Card, Measured, Point, Refused
from measurements.hoof.pictures.side_view import HEEL_NEARER_SHARE, measure_side
from tests.bench.pictures.third_camera import Feet, Shots, Stand, taken
from tests.hoof.pictures.camera import Cell, scene

EXACT = Feet(nearer=(HEEL_NEARER_SHARE * 120,) * 2, ground=(120.0, 120.0))
UPRIGHT = Stand(off=0.0, turned=0.0, leans=0.0, rolled=0.0, size_sd=0.0)


@pytest.mark.parametrize("seed", range(8))
def test_a_picture_without_any_error_gives_the_foot_back(seed: int) -> None:
    made = taken(np.random.default_rng(seed), EXACT, UPRIGHT, Shots(tap_px=0.0, corner_px=0.0))
    found = measure_side(
        made.points, card=made.card, size_px=made.size_px, focal_px=made.focal_px, tap_px=0.2
    )
    for quantity, truth in made.truth.items():
        within = 1.0 if quantity == "pastern_angle" else 0.4  # its depth differs from foot to foot
        assert found[quantity] == _near(truth, within), quantity


class _near:
    """A value within so much of the truth."""

    def __init__(self, truth: float, within: float) -> None:
        self.truth, self.within = truth, within

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Measured) and abs(other.value - self.truth) <= self.within

    def __repr__(self) -> str:
        return f"{self.truth} within {self.within}"


# Wide limits, for few scenes: the bench has the figures of 2,000 a cell.
COVERED = (
    Cell("near"),
    Cell("far", distance_mm=(1_500.0, 3_000.0)),
    Cell("turned far", turned=25.0, tap_px=4.0),
    Cell("no card", with_card=False),
)


@pytest.mark.parametrize("cell", COVERED, ids=lambda cell: cell.name)
def test_the_errors_said_are_those_made(cell: Cell) -> None:
    rng = np.random.default_rng(11)
    missed: list[float] = []
    for _ in range(70):
        made = scene(rng, cell)
        found = measure_side(
            made.points,
            card=made.card,
            size_px=made.size_px,
            tap_px=cell.tap_px,
            tap_known=True,
            card_off_mm_sd=CARD_OFF_MM_SD,
        )
        for quantity, truth in made.truth.items():
            answer = found[quantity]
            if isinstance(answer, Measured):
                missed.append((answer.value - truth) / answer.sd)
    assert len(missed) >= 200
    assert 0.78 < np.std(missed) < 1.15
    assert np.mean(np.abs(missed) < 1.96) > 0.91


def test_the_ground_line_is_set_right_for_the_heel_that_stands_nearer() -> None:
    cell = Cell("from above", tilted=(9.0, 10.0), with_card=False, tap_px=0.0)
    rng, off, plain = np.random.default_rng(2), [], []
    for _ in range(60):
        made = scene(rng, cell)
        card = scene(rng, Cell("from above", tilted=(9.0, 10.0), tap_px=0.0))
        with_card = measure_side(card.points, card=card.card, size_px=card.size_px)["toe_angle"]
        assert isinstance(with_card, Measured)
        off.append(with_card.value - card.truth["toe_angle"])
        plain.append(_as_seen(made.points) - made.truth["toe_angle"])
    assert np.mean(plain) > 2.0  # what an angle read straight off the picture would be wrong by
    assert abs(np.mean(off)) < 0.4


def _as_seen(points: dict[str, Point]) -> float:
    low, high, toe, heel = (
        np.array(points[name]) for name in ("toe_low", "toe_hairline", "ground_toe", "ground_heel")
    )
    wall, back = high - low, (heel - toe) / np.linalg.norm(heel - toe)
    return float(np.degrees(np.arccos(wall @ back / np.linalg.norm(wall))))


PLAIN = scene(np.random.default_rng(1), Cell("plain"))
TOE, HEEL = PLAIN.points["ground_toe"], PLAIN.points["ground_heel"]


def _refused(change: dict[str, Point] | None = None, card: Card | None = PLAIN.card) -> str:
    found = measure_side(PLAIN.points | (change or {}), card=card, size_px=PLAIN.size_px)
    reasons = {each.reason for each in found.values() if isinstance(each, Refused)}
    assert len(reasons) == 1
    return reasons.pop()


def test_toe_and_heel_the_wrong_way_round_are_refused() -> None:
    assert "wrong way round" in _refused({"ground_toe": HEEL, "ground_heel": TOE})


@pytest.mark.parametrize(
    ("low", "high", "part"),
    [
        ("toe_low", "toe_hairline", "toe wall"),
        ("heel_low", "heel_hairline", "heel wall"),
        ("pastern_low", "pastern_high", "pastern"),
    ],
)
def test_a_wall_that_runs_downwards_is_refused(low: str, high: str, part: str) -> None:
    swapped = {low: PLAIN.points[high], high: PLAIN.points[low]}
    words = _refused(swapped)
    assert part in words
    assert "downwards" in words


def test_a_foot_that_is_a_speck_is_refused() -> None:
    assert "too small" in _refused({"ground_heel": (TOE[0] + 20, TOE[1])})


def test_a_picture_lying_on_its_side_is_refused() -> None:
    lying = {name: (y, x) for name, (x, y) in PLAIN.points.items()}
    found = measure_side(lying)
    assert all(isinstance(each, Refused) for each in found.values())


def test_a_card_that_is_a_speck_is_refused() -> None:
    card = Card(((10, 10), (40, 10), (40, 40), (10, 40)), 60.0)
    assert "too small" in _refused(card=card)


@pytest.mark.parametrize("side_mm", [0.0, 2.0, 6_000.0, float("nan")])
def test_a_card_of_no_likely_size_is_refused(side_mm: float) -> None:
    assert PLAIN.card is not None
    assert "Check the size" in _refused(card=Card(PLAIN.card.corners, side_mm))


def test_corners_out_of_order_are_refused() -> None:
    assert PLAIN.card is not None
    one, two, three, four = PLAIN.card.corners
    assert "in order" in _refused(card=Card((one, three, two, four), 60.0))


def test_corners_that_fit_no_square_are_refused() -> None:
    card = Card(((100, 100), (700, 100), (690, 300), (100, 520)), 60.0)
    assert "square" in _refused(card=card)


def test_a_picture_taken_from_far_aside_is_refused() -> None:
    for seed in range(20):
        made = scene(np.random.default_rng(seed), Cell("aside", turned=62.0))
        found = measure_side(made.points, card=made.card, size_px=made.size_px)
        reasons = [each.reason for each in found.values() if isinstance(each, Refused)]
        if any("too much from one side" in reason for reason in reasons):
            return
    pytest.fail("no picture was refused")


def test_a_size_typed_ten_times_too_large_is_refused_by_the_foot() -> None:
    assert PLAIN.card is not None
    found = measure_side(PLAIN.points, card=Card(PLAIN.card.corners, 300.0), size_px=PLAIN.size_px)
    length = found["toe_length"]
    assert isinstance(length, Refused)
    assert "size of the card" in length.reason or "close together" in length.reason


def test_without_a_card_angles_are_wide_and_lengths_refused() -> None:
    found = measure_side(PLAIN.points, size_px=PLAIN.size_px)
    with_card = measure_side(PLAIN.points, card=PLAIN.card, size_px=PLAIN.size_px)
    assert isinstance(found["toe_length"], Refused)
    wide, narrow = found["toe_angle"], with_card["toe_angle"]
    assert isinstance(wide, Measured)
    assert isinstance(narrow, Measured)
    assert wide.sd > 1.6 * narrow.sd


def test_missing_points_refuse_their_own_quantities_only() -> None:
    points = {n: p for n, p in PLAIN.points.items() if not n.startswith(("pastern", "heel"))}
    found = measure_side(points, card=PLAIN.card, size_px=PLAIN.size_px)
    assert isinstance(found["toe_angle"], Measured)
    heel = found["heel_angle"]
    assert isinstance(heel, Refused)
    assert "heel low" in heel.reason


def test_heels_that_slant_are_within_what_is_said() -> None:
    cell = Cell("slanting", turned=25.0, heel_slant_mm=2.5)
    rng, missed = np.random.default_rng(3), []
    for _ in range(120):
        made = scene(rng, cell)
        found = measure_side(made.points, card=made.card, size_px=made.size_px)["heel_angle"]
        if isinstance(found, Measured):
            missed.append((found.value - made.truth["heel_angle"]) / found.sd)
    assert np.mean(np.abs(missed) < 1.96) > 0.9
