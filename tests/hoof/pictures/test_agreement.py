"""How two people agree on the same pictures, and how far each one's taps stray."""

import numpy as np
import pytest

from measurements.hoof.errors import HoofError
from measurements.hoof.pictures.agreement import (
    Placed,
    TapError,
    agreement,
    icc,
    icc_of_mean_squares,
    tap_errors,
)


def test_an_offset_between_two_people_lowers_the_icc() -> None:
    found = icc([(2, 4), (4, 6), (6, 8)])  # consistency 1, absolute agreement 2/3
    assert found is not None
    assert found.value == pytest.approx(2 / 3)


def test_published_mean_squares_give_the_absolute_icc() -> None:
    # J Am Soc Nephrol: mean squares 19.67, 379.76, 1.64 of 72 patients by two methods
    assert icc_of_mean_squares(19.67, 379.76, 1.64, 72, 2) == pytest.approx(0.567, abs=0.001)


def test_the_icc_of_simulated_people_is_the_share_of_the_pictures() -> None:
    rng = np.random.default_rng(5)
    truth = rng.normal(50, 3, 400)
    found = icc(np.column_stack([truth + rng.normal(0, 1.5, 400) for _ in range(2)]).tolist())
    assert found is not None
    assert found.value == pytest.approx(9 / (9 + 2.25), abs=0.04)
    assert found.low95 is not None
    assert found.high95 is not None
    assert found.low95 < 0.8 < found.high95


def test_two_pictures_tell_nothing_of_agreement() -> None:
    assert icc([(50, 51), (52, 52)]) is None


def test_readings_that_are_not_numbers_are_refused() -> None:
    with pytest.raises(HoofError, match="numbers"):
        icc([(50, float("nan"))] * 4)


def test_limits_of_agreement_are_in_the_unit_of_the_reading() -> None:
    pairs = [(50.0, 49.0), (52.0, 51.5), (48.0, 46.5), (51.0, 50.0)]
    found = agreement(pairs, 0.7, 0.7)
    assert found is not None
    assert found.bias.bias > 0
    assert found.bias.agreement_low is not None


def _hand(rng: np.random.Generator, by: str, picture: int, sd: float) -> Placed:
    points = {f"p{n}": (100.0 * n, 200.0) for n in range(8)}
    moved = {
        name: (x + rng.normal(0, sd), y + rng.normal(0, sd)) for name, (x, y) in points.items()
    }
    return Placed(by, picture, moved)


def test_each_persons_own_tap_error_is_learned_from_repeats() -> None:
    rng = np.random.default_rng(3)
    placed = [
        _hand(rng, by, picture, sd)
        for picture in range(30)
        for by, sd in (("steady", 1.0), ("steady", 1.0), ("loose", 4.0), ("loose", 4.0))
    ]
    found = tap_errors(placed)
    assert found["steady"].sd_px == pytest.approx(1.0, abs=0.15)
    assert found["loose"].sd_px == pytest.approx(4.0, abs=0.4)


def test_three_people_who_each_place_once_are_told_apart() -> None:
    rng = np.random.default_rng(4)
    hands = (("steady", 1.0), ("usual", 2.0), ("loose", 4.0))
    placed = [_hand(rng, by, picture, sd) for picture in range(40) for by, sd in hands]
    found = tap_errors(placed)
    assert found["steady"].sd_px < found["usual"].sd_px < found["loose"].sd_px


def test_a_few_repeats_leave_the_usual_error_about_as_it_was() -> None:
    rng = np.random.default_rng(6)
    first, again = (Placed("a", 1, {"p": (100 + rng.normal(0, 0.1), 100.0)}) for _ in range(2))
    assert tap_errors([first, again])["a"].sd_px == pytest.approx(2.0, abs=0.25)


def test_a_point_on_the_wrong_spot_is_no_tap_error() -> None:
    first, again = Placed("a", 1, {"p": (100.0, 100.0)}), Placed("a", 1, {"p": (400.0, 100.0)})
    found = tap_errors([first, again])["a"]
    assert (found.sd_px, found.differences) == (2.0, 0)


def test_a_tap_error_is_larger_in_pixels_of_a_larger_picture() -> None:
    assert TapError(2.0, 10).on(4_800.0) == 4.0


def test_the_error_is_told_for_one_size_of_picture() -> None:
    large = [
        Placed("a", n, {"p": (100.0 + 4 * side, 50.0)}, 4_800.0)
        for n in range(60)
        for side in (0, 1)
    ]
    small = [
        Placed("a", n, {"p": (100.0 + 2 * side, 50.0)}, 2_400.0)
        for n in range(60)
        for side in (0, 1)
    ]
    assert tap_errors(large)["a"].sd_px == pytest.approx(tap_errors(small)["a"].sd_px)
