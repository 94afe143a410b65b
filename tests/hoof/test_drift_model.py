"""The algebra against independent libraries and against its own definition written out."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.stats import multivariate_normal

from measurements.hoof.drift.arrays import Question, SeriesArrays, build_arrays
from measurements.hoof.drift.evidence import log_bayes_factors, log_sum_exp, project
from measurements.hoof.drift.model import (
    VariationGrid,
    covariance,
    drift_columns,
    step_columns,
    variation_grid,
    walk_covariance,
)
from measurements.hoof.drift.priors import DRIFT_PRIORS
from measurements.hoof.drift.surprise import leave_one_out_surprise
from measurements.hoof.drift.weights import robust_weights
from tests.hoof.build import a_series

PRIOR = DRIFT_PRIORS["toe_angle"]
ONE_POINT = VariationGrid(np.array([1.3]), np.array([0.8]), np.zeros(1))
ONSETS = np.arange(0, 6)


@pytest.fixture
def arrays() -> SeriesArrays:
    return build_arrays(a_series(8, noise=1.0, rate=-0.5, onset=3), Question(PRIOR))


def the_covariance(arrays: SeriesArrays) -> np.ndarray:
    return covariance(arrays, 0.8, (1.3 * arrays.sd) ** 2)


def test_score_and_information_are_those_of_statsmodels_generalised_least_squares(
    arrays: SeriesArrays,
) -> None:
    columns = drift_columns(arrays.trim, ONSETS)
    ours = project(arrays, columns, arrays.sd**2, ONE_POINT)
    for place in range(len(ONSETS)):
        fit = sm.GLS(arrays.residual, columns[:, place], sigma=the_covariance(arrays)).fit()
        assert ours.information[0, place] == pytest.approx(1.0 / fit.normalized_cov_params[0, 0])
        estimate = ours.score[0, place] / ours.information[0, place]
        assert estimate == pytest.approx(fit.params[0])


@pytest.mark.parametrize(
    ("x", "y", "slope", "slope_sd", "residual_sd"),
    [
        (range(60, 71), range(130, 141), 2.07438016528926, 0.0165289256198347, 3.56753034006338),
        ((4, 5, 6), (3, 4, 4), 0.727272727272727, 0.0420827318078432, 0.369274472937998),
    ],
    ids=["NoInt1", "NoInt2"],
)
def test_a_line_through_the_origin_has_the_certified_values_of_nist(
    x: Sequence[int], y: Sequence[int], slope: float, slope_sd: float, residual_sd: float
) -> None:
    # NIST Statistical Reference Datasets, Linear Least Squares, NoInt1 and NoInt2 (from memory,
    # recomputed): a change with an onset but without level, growth or offsets is this regression.
    column, values = np.array(x, dtype=np.float64), np.array(y, dtype=np.float64)
    count = len(column)
    bare = replace(
        build_arrays(a_series(6)[:count], Question(PRIOR)),
        value=values,
        mean=np.zeros(count),
        trim=np.arange(count),
        design=np.zeros((count, 0)),
        design_sd=np.zeros(0),
        column_kind=(),
        column_index=(),
    )
    no_trim = VariationGrid(np.ones(1), np.zeros(1), np.zeros(1))
    found = project(bare, column[:, None], np.full(count, residual_sd**2), no_trim)
    score, information = found.score[0, 0], found.information[0, 0]
    assert score / information == pytest.approx(slope, rel=1e-12)
    assert information**-0.5 == pytest.approx(slope_sd, rel=1e-12)


def test_the_likelihood_is_the_multivariate_normal_one_up_to_a_constant(
    arrays: SeriesArrays,
) -> None:
    grid = variation_grid(PRIOR)
    ours = project(arrays, drift_columns(arrays.trim, ONSETS), arrays.sd**2, grid).log_likelihood
    theirs = [
        multivariate_normal.logpdf(
            arrays.residual, cov=covariance(arrays, trim_sd, (scale * arrays.sd) ** 2)
        )
        for trim_sd, scale in zip(grid.trim_sd, grid.error_scale, strict=True)
    ]
    assert ours - ours[0] == pytest.approx(np.array(theirs) - theirs[0])


@pytest.mark.parametrize("shape", [drift_columns, step_columns])
def test_the_bayes_factor_is_the_ratio_of_the_two_marginal_densities(
    arrays: SeriesArrays, shape: object
) -> None:
    columns = (drift_columns if shape is drift_columns else step_columns)(arrays.trim, ONSETS)
    ours = project(arrays, columns, arrays.sd**2, ONE_POINT)
    factors = log_bayes_factors(ours.score, ours.information, 0.4)[0]
    plain = the_covariance(arrays)
    for place, column in enumerate(columns.T):
        changed = multivariate_normal.logpdf(
            arrays.residual, cov=plain + 0.4**2 * np.outer(column, column)
        )
        unchanged = multivariate_normal.logpdf(arrays.residual, cov=plain)
        assert factors[place] == pytest.approx(changed - unchanged)


def test_the_coefficients_are_the_posterior_mean_of_level_and_growth(
    arrays: SeriesArrays,
) -> None:
    ours = project(arrays, drift_columns(arrays.trim, ONSETS), arrays.sd**2, ONE_POINT)
    scaled = arrays.design * arrays.design_sd**2
    expected = scaled.T @ np.linalg.solve(the_covariance(arrays), arrays.residual)
    assert ours.coefficients[0] == pytest.approx(expected)


def test_leaving_one_out_equals_predicting_it_from_the_others(arrays: SeriesArrays) -> None:
    error = arrays.sd**2
    spread = covariance(arrays, 0.7, error) + walk_covariance(arrays.trim, 0.35)
    ours = leave_one_out_surprise(spread, arrays.residual, error, error)
    for place in range(len(error)):
        others = np.arange(len(error)) != place
        gain = np.linalg.solve(spread[np.ix_(others, others)], spread[others, place])
        miss = arrays.residual[place] - gain @ arrays.residual[others]
        variance = spread[place, place] - gain @ spread[others, place]
        assert ours[place] == pytest.approx(abs(miss) / np.sqrt(variance))


def test_a_wild_reading_loses_its_weight_and_its_neighbours_keep_theirs() -> None:
    rows = a_series(8)
    arrays = build_arrays(rows, Question(PRIOR))
    arrays.value[7] += 9.0
    weights = robust_weights(arrays, PRIOR).weight
    assert weights[7] < 0.05
    assert np.delete(weights, 7).min() > 0.9


def test_the_logs_of_huge_numbers_add_without_overflow() -> None:
    assert float(log_sum_exp(np.array([1000.0, 1000.0]))) == pytest.approx(1000.0 + np.log(2.0))


def test_readings_of_one_trim_share_its_variation() -> None:
    arrays = build_arrays(a_series(3), Question(PRIOR))
    with_trim = covariance(arrays, 0.7, arrays.sd**2) - covariance(arrays, 0.0, arrays.sd**2)
    same = arrays.trim[:, None] == arrays.trim[None, :]
    assert with_trim == pytest.approx(np.where(same, 0.49, 0.0))
