"""The quantiles behind what a straight line would have shown, against another program."""

import numpy as np
import pytest
from scipy import stats

from measurements.hoof.trend_power import chi_square_over_freedom


@pytest.mark.parametrize("freedom", [3, 4, 6, 10, 30, 200])
def test_residual_variances_are_those_of_another_program(freedom: int) -> None:
    shares = np.linspace(0.3, 0.995, 60)  # below these the variance is taken as one
    ours = chi_square_over_freedom(stats.norm.ppf(shares), freedom)
    theirs = stats.chi2.ppf(shares, freedom) / freedom
    assert ours == pytest.approx(theirs, rel=0.03)


def test_no_variance_is_negative() -> None:
    assert chi_square_over_freedom(np.array([-8.0, -4.0]), 3).min() >= 0.0
