"""A person's own measuring error and the bias between two people, against the published example."""

import math

import numpy as np
import pytest

from measurements.hoof.errors import HoofError
from measurements.hoof.repeats import (
    LOWEST_SHARE,
    bias_between,
    own_error,
    repeat_groups,
    within_sd,
)
from tests.hoof.build import the

# Peak flow of 17 subjects, two readings each with two meters (Bland & Altman, Lancet
# 1986;i:307-310, table 1; from memory). L/min.
LARGE_1 = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
LARGE_2 = [490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421]
MINI_1 = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]
MINI_2 = [525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443]


@pytest.mark.parametrize(
    ("first", "second", "published"),
    [(LARGE_1, LARGE_2, 15.306669), (MINI_1, MINI_2, 19.910831)],
)
def test_the_within_person_sd_is_the_published_one(
    first: list[float], second: list[float], published: float
) -> None:
    sd, degrees = within_sd(list(zip(first, second, strict=True)))
    assert (sd, degrees) == (pytest.approx(published, abs=5e-7), 17)


def test_the_limits_of_agreement_are_the_published_ones() -> None:
    found = the(bias_between(list(zip(LARGE_1, MINI_1, strict=True)), 15.3, 19.9))
    # With 1.96 for the rounded 2 of the paper.
    assert found.agreement_low == pytest.approx(-78.097302, abs=1e-3)
    assert found.agreement_high == pytest.approx(73.862007, abs=1e-3)


def test_repeatability_is_the_smallest_difference_that_matters() -> None:
    # 1.96 * sqrt(2) * 1 deg (Weir, J Strength Cond Res 2005;19:231-240).
    assert own_error([], 1.0).repeatability == pytest.approx(2.771859, abs=1e-6)


def test_without_repeats_the_usual_error_stands() -> None:
    error = own_error([[51.0]], 1.5)
    assert (error.sd, error.own_sd, error.repeats) == (1.5, None, 0)


def test_a_few_good_repeats_lower_the_error_a_little() -> None:
    error = own_error([[50.0, 50.2], [47.0, 47.1]], 1.0)
    assert 0.85 < error.sd < 1.0
    assert the(error.own_sd) < 0.2


def test_many_repeats_outweigh_the_usual_error() -> None:
    rng = np.random.default_rng(3)
    groups = 50.0 + rng.normal(0.0, 2.0, (200, 2))
    assert own_error(groups.tolist(), 1.0).sd == pytest.approx(2.0, rel=0.1)


def test_however_well_repeats_agree_the_error_never_vanishes() -> None:
    assert own_error([[50.0, 50.0]] * 500, 1.0).sd == LOWEST_SHARE


def test_three_readings_of_one_day_count_as_two_differences() -> None:
    sd, degrees = within_sd([[50.0, 51.0, 52.0]])
    assert (sd, degrees) == (pytest.approx(1.0), 2)


def test_only_readings_alike_in_everything_are_repeats() -> None:
    rows = [(("LF", "day 1"), 50.0), (("RF", "day 1"), 51.0), (("LF", "day 1"), 50.5)]
    assert repeat_groups(rows) == [[50.0, 50.5]]


def test_one_comparison_shows_half_a_bias_at_most_and_none_for_sure() -> None:
    found = the(bias_between([(52.0, 50.0)], 1.0, 1.0))
    assert 0 < found.bias < 1.0
    assert not found.is_visible
    assert found.agreement_low is None


def test_many_comparisons_show_the_bias() -> None:
    found = the(bias_between([(51.5, 50.0), (48.6, 47.0), (53.4, 52.0)] * 4, 1.0, 1.0))
    assert found.is_visible
    assert found.bias == pytest.approx(1.5 * 12 / 14, abs=0.01)


def test_swapping_the_persons_turns_the_bias_round() -> None:
    pairs = [(51.0, 50.0), (48.0, 47.5), (49.0, 49.2)]
    found, swapped = the(bias_between(pairs, 1.0, 1.5)), None
    swapped = the(bias_between([(b, a) for a, b in pairs], 1.5, 1.0))
    assert swapped.bias == pytest.approx(-found.bias)
    assert (swapped.low, swapped.high) == pytest.approx((-found.high, -found.low))


def test_nobody_to_compare_gives_no_bias() -> None:
    assert bias_between([], 1.0, 1.0) is None


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_an_impossible_usual_error_is_refused(bad: float) -> None:
    with pytest.raises(HoofError):
        own_error([], bad)


def test_readings_that_are_no_numbers_are_refused() -> None:
    with pytest.raises(HoofError):
        within_sd([[50.0, math.nan]])
    with pytest.raises(HoofError):
        bias_between([(50.0, math.inf)], 1.0, 1.0)
    with pytest.raises(HoofError):
        bias_between([(50.0, 51.0)], 0.0, 0.0)
