"""The benchmark's comparison methods against the published worked examples they come from."""

import numpy as np
import pymannkendall
import pytest
from scipy.stats import theilslopes

from tests.bench.drift_methods import (
    change_point_gain,
    ewma,
    first_above,
    mann_kendall_z,
    page_hinkley_test,
    straight_line_t,
    tabular_cusum,
    visit_limits,
)

# NIST/SEMATECH e-Handbook 6.3.2.4 (data and column from memory, recomputed): weight 0.3, start 50.
NIST_EWMA_X = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5]
NIST_EWMA_X += [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
NIST_EWMA = [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33]
NIST_EWMA += [50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99]

# NIST/SEMATECH e-Handbook 6.3.2.3 (from memory, recomputed): target 325, k 0.3175, h 4.1959.
NIST_CUSUM_X = [324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225]
NIST_CUSUM_X += [324.600, 324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775]
NIST_CUSUM_X += [326.875, 328.350]
NIST_HIGH_LAST = [3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035]
NIST_LOW_FIRST = [0, 0.0075, 0, 0.3325, 0, 0, 0.5575, 0.7150, 0.1725, 0.2550, 0.3125, 0]

# J. Little, College of the Holy Cross, course note "MannKendallByHand".
MK_Y = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]


def test_the_ewma_is_that_of_the_nist_example() -> None:
    assert ewma(np.array(NIST_EWMA_X), 50.0, 0.3) == pytest.approx(np.array(NIST_EWMA), abs=0.0051)


def test_the_nist_ewma_stays_inside_its_limits() -> None:
    values = ewma(np.array(NIST_EWMA_X), 50.0, 0.3)
    assert values.max() < 52.5884
    assert values.min() > 47.4115


def test_the_cusum_is_that_of_the_nist_example() -> None:
    high, low = tabular_cusum(np.array(NIST_CUSUM_X), 325.0, 0.3175)
    assert high[-8:] == pytest.approx(np.array(NIST_HIGH_LAST), abs=1e-9)
    assert low[:12] == pytest.approx(np.array(NIST_LOW_FIRST), abs=1e-9)


def test_the_nist_cusum_signals_at_the_fourteenth_reading() -> None:
    high, low = tabular_cusum(np.array(NIST_CUSUM_X), 325.0, 0.3175)
    assert int(np.argmax(np.maximum(high, low) > 4.1959)) == 13


def test_page_hinkley_about_a_fixed_mean_is_the_cusum_of_the_nist_example() -> None:
    # The sum above its lowest point so far is the tabular CUSUM (Page, Biometrika 1954).
    values = np.array(NIST_CUSUM_X)
    for known in range(13, 21):
        high, low = tabular_cusum(values[:known], 325.0, 0.3175)
        found = page_hinkley_test(values[:known], np.full(known, 325.0), 0.3175)
        assert found == pytest.approx(max(high[-1], low[-1]))


def test_the_gain_of_a_change_point_is_what_two_means_take_off_the_squares() -> None:
    values = np.array([50.0, 51.0, 49.0, 46.0, 47.0, 45.0])
    first, second = values[:3], values[3:]
    left = ((first - first.mean()) ** 2).sum() + ((second - second.mean()) ** 2).sum()
    gain = ((values - values.mean()) ** 2).sum() - left
    assert change_point_gain(values) == pytest.approx(gain)
    assert change_point_gain(np.array([50.0])) == 0.0


def test_mann_kendall_is_that_of_the_worked_example() -> None:
    assert mann_kendall_z(np.array(MK_Y)) == pytest.approx(2.905837, abs=5e-7)


def test_mann_kendall_agrees_with_a_library_on_ties_and_falling_series() -> None:
    values = np.array([5.0, 5.0, 4.0, 4.5, 3.0, 3.0, 3.0, 2.0, 2.5])
    assert mann_kendall_z(values) == pytest.approx(pymannkendall.original_test(values).z)


def test_the_library_slope_of_the_worked_example_is_the_published_one() -> None:
    found = theilslopes(MK_Y, np.arange(1, 15), 0.95)
    assert found[0] == pytest.approx(0.566667, abs=1e-6)
    assert found[2:4] == pytest.approx((0.325, 0.866667), abs=1e-6)


def test_the_straight_line_t_is_slope_over_its_error() -> None:
    # NIST StRD NoInt2's points with an intercept: slope 0.5, residual SD sqrt(1/6).
    days, values = np.array([4.0, 5.0, 6.0]), np.array([3.0, 4.0, 4.0])
    assert straight_line_t(days, values) == pytest.approx(0.5 / np.sqrt(1 / 6 / 2))


def test_limits_by_visit_let_the_wanted_share_alarm_at_each_visit() -> None:
    rng = np.random.default_rng(5)
    table = rng.normal(size=(4000, 6))
    limits = visit_limits(list(table), 20.0)
    alarms = [first_above(row, limits) for row in table]
    assert np.isinf(limits[:2]).all()
    assert np.mean([alarm is not None for alarm in alarms]) == pytest.approx(1 - 0.95**4, abs=0.003)
