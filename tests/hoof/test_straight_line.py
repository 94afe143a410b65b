"""The weighted line against certified values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from measurements.hoof.straight_line import LineImpossible, straight_line

# NIST Statistical Reference Datasets, Linear Least Squares, Norris (36 ozone monitor readings).
NORRIS_X = [
    0.2,
    337.4,
    118.2,
    884.6,
    10.1,
    226.5,
    666.3,
    996.3,
    448.6,
    777.0,
    558.2,
    0.4,
    0.6,
    775.5,
    666.9,
    338.0,
    447.5,
    11.6,
    556.0,
    228.1,
    995.8,
    887.6,
    120.2,
    0.3,
    0.3,
    556.8,
    339.1,
    887.2,
    999.0,
    779.0,
    11.1,
    118.3,
    229.2,
    669.1,
    448.9,
    0.5,
]
NORRIS_Y = [
    0.1,
    338.8,
    118.1,
    888.0,
    9.2,
    228.1,
    668.5,
    998.5,
    449.1,
    778.9,
    559.2,
    0.3,
    0.1,
    778.1,
    668.8,
    339.3,
    448.9,
    10.8,
    557.7,
    228.3,
    998.0,
    888.8,
    119.6,
    0.3,
    0.6,
    557.6,
    339.3,
    888.0,
    998.5,
    778.9,
    10.2,
    117.6,
    228.9,
    668.4,
    449.2,
    0.2,
]


@pytest.mark.parametrize("sd", [None, [3.0] * 36], ids=["unweighted", "equal weights"])
def test_the_line_has_the_certified_values_of_norris(sd):
    line = straight_line(NORRIS_X, NORRIS_Y, sd)
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert math.sqrt(line.intercept_variance) == pytest.approx(0.232818234301152, rel=1e-10)
    assert math.sqrt(line.slope_variance) == pytest.approx(0.429796848199937e-3, rel=1e-10)
    assert line.degrees_of_freedom == 34


def test_a_reading_of_half_the_error_counts_as_four():
    x, y = [0, 1, 2, 3], [50.0, 51.0, 49.0, 53.0]
    weighted = straight_line(x, y, [1, 1, 1, 0.5])
    repeated = straight_line([*x, 3, 3, 3], [*y, 53, 53, 53])
    assert weighted.slope == pytest.approx(repeated.slope)
    assert weighted.intercept == pytest.approx(repeated.intercept)


def test_the_weighted_line_agrees_with_another_program():
    regression = pytest.importorskip("statsmodels.regression.linear_model")
    x, y = np.arange(8.0), np.array([52, 51.2, 52.1, 50.9, 50.0, 50.4, 49.1, 49.9])
    sd = np.array([1, 0.8, 1.5, 1, 1, 0.6, 1, 1.2])
    theirs = regression.WLS(y, np.column_stack([np.ones(8), x]), weights=sd**-2).fit()
    ours = straight_line(x, y, sd)
    assert [ours.intercept, ours.slope] == pytest.approx(theirs.params)
    expected = theirs.cov_params()
    assert ours.intercept_variance == pytest.approx(expected[0][0])
    assert ours.slope_variance == pytest.approx(expected[1][1])
    assert ours.covariance == pytest.approx(expected[0][1])
    assert ours.slope_half_width(0.95) == pytest.approx(
        (theirs.conf_int(0.05)[1][1] - theirs.conf_int(0.05)[1][0]) / 2
    )


def test_the_interval_of_the_height_is_the_textbook_one():
    # s * t * sqrt(1/n + (x - mean)^2 / Sxx): Draper & Smith, 3rd ed., section 3.1.
    x, y = np.arange(6.0), np.array([1.0, 2.2, 2.9, 4.1, 4.8, 6.3])
    line = straight_line(x, y)
    residual_sd = math.sqrt(np.sum((y - line.at(x)) ** 2) / 4)
    expected = stats.t.ppf(0.9, 4) * residual_sd * math.sqrt(1 / 6 + (7 - 2.5) ** 2 / 17.5)
    assert float(line.half_width(7, 0.80)) == pytest.approx(expected)


def test_points_in_line_by_luck_are_no_surer_than_their_errors():
    lucky = straight_line([0, 1, 2], [50, 51, 52], [1, 1, 1])
    honest = straight_line([0, 1, 2], [50, 51, 52], [1, 1, 1], least_variance=1.0)
    assert lucky.slope_variance == 0
    assert honest.slope_variance == pytest.approx(0.5)
    assert honest.slope == lucky.slope == 1


def test_points_more_scattered_than_their_errors_keep_their_scatter():
    scattered = [50, 58, 46, 57]
    free = straight_line(range(4), scattered, [1] * 4)
    assert straight_line(range(4), scattered, [1] * 4, least_variance=1.0) == free


@pytest.mark.parametrize(
    ("x", "y", "sd"),
    [
        ([], [], None),
        ([0], [1], None),
        ([0, 1], [1, 2], None),
        ([2, 2, 2], [1, 2, 3], None),
        ([0, 1, math.nan], [1, 2, 3], None),
        ([0, 1, 2], [1, 2, math.inf], None),
        ([0, 1, 2], [1, 2, 3], [1, 1, math.nan]),
        ([0, 1, 2], [1, 2, 3], [1, 1, 0]),
        ([0, 1, 2], [1, 2, 3], [1, 1, -1]),
        ([0, 1, 2], [1, 2], None),
        ([0, 1, 2], [1, 2, 3], [1, 1]),
    ],
)
def test_points_that_make_no_line_are_refused(x, y, sd):
    with pytest.raises(LineImpossible, match="A line needs"):
        straight_line(x, y, sd)


HEIGHTS = st.lists(st.floats(-100, 100), min_size=3, max_size=12)


@given(HEIGHTS, st.floats(-1000, 1000))
def test_moving_the_origin_of_x_keeps_the_slope(heights, shift):
    x = np.arange(len(heights), dtype=float)
    here, there = straight_line(x, heights), straight_line(x + shift, heights)
    assert there.slope == pytest.approx(here.slope, abs=1e-9)
    assert float(there.at(shift)) == pytest.approx(here.intercept, abs=1e-8)


@given(HEIGHTS)
def test_a_mirrored_series_has_the_mirrored_line(heights):
    x = np.arange(len(heights), dtype=float)
    here, mirrored = straight_line(x, heights), straight_line(x, [-height for height in heights])
    assert mirrored.slope == -here.slope
    assert mirrored.slope_variance == here.slope_variance
