"""A straight line by weighted least squares, with the intervals that belong to it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from measurements.hoof.errors import HoofError
from measurements.hoof.student_t import t_quantile

MIN_POINTS = 3  # a line through two points has no error to judge it by


class LineImpossible(HoofError):
    """The points do not determine a line (fewer than three, or all at one x)."""


@dataclass(frozen=True)
class StraightLine:
    """y = intercept + slope * x by weighted least squares, with its covariance."""

    intercept: float
    slope: float
    intercept_variance: float
    slope_variance: float
    covariance: float
    degrees_of_freedom: int

    def at(self, x: ArrayLike) -> NDArray[np.float64]:
        """The line's height at x."""
        return np.asarray(self.intercept + self.slope * np.asarray(x, dtype=np.float64))

    def half_width(self, x: ArrayLike, confidence: float) -> NDArray[np.float64]:
        """Half the t interval of the line's height at x (not of a new reading)."""
        at = np.asarray(x, dtype=np.float64)
        variance = self.intercept_variance + 2 * at * self.covariance + at**2 * self.slope_variance
        return np.asarray(self._t(confidence) * np.sqrt(np.maximum(variance, 0.0)))

    def slope_half_width(self, confidence: float) -> float:
        """Half the t interval of the slope."""
        return self._t(confidence) * math.sqrt(self.slope_variance)

    def _t(self, confidence: float) -> float:
        return t_quantile(confidence, self.degrees_of_freedom)


def straight_line(
    x: ArrayLike, y: ArrayLike, sd: ArrayLike | None = None, *, least_variance: float = 0.0
) -> StraightLine:
    """Fit y = a + b x by weighted least squares, weights 1/sd^2 (equal without `sd`).

    At least three points at two or more x. The variances come from the residuals
    (Draper & Smith, Applied Regression Analysis, 3rd ed., ch. 1 and 9). When the SDs are known,
    `least_variance=1` keeps a few points that lie in line by luck from looking certain: the
    residual variance of an observation of weight one is then taken as 1 at least.
    Raises `LineImpossible`.
    """
    at, values, weights = _checked(x, y, sd)
    total = weights.sum()
    x_mean, y_mean = np.average(at, weights=weights), np.average(values, weights=weights)
    spread = np.sum(weights * (at - x_mean) ** 2)
    slope = np.sum(weights * (at - x_mean) * (values - y_mean)) / spread
    residuals = values - y_mean - slope * (at - x_mean)
    freedom = at.size - 2
    variance = max(float(np.sum(weights * residuals**2) / freedom), least_variance)
    return StraightLine(
        intercept=float(y_mean - slope * x_mean),
        slope=float(slope),
        intercept_variance=float(variance * (1 / total + x_mean**2 / spread)),
        slope_variance=float(variance / spread),
        covariance=float(-variance * x_mean / spread),
        degrees_of_freedom=freedom,
    )


def _checked(
    x: ArrayLike, y: ArrayLike, sd: ArrayLike | None
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    at, values = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    errors = np.ones_like(at) if sd is None else np.asarray(sd, dtype=np.float64)
    if not at.shape == values.shape == errors.shape:
        raise LineImpossible("A line needs one y and one error for each x.")
    if not all(np.isfinite(part).all() for part in (at, values, errors)) or (errors <= 0).any():
        raise LineImpossible("A line needs real numbers and errors above zero.")
    if at.size < MIN_POINTS or np.ptp(at) == 0:
        raise LineImpossible("A line needs at least three points that are not at one place.")
    return at, values, errors**-2.0
