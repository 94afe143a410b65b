"""How large a steady change the straight line would have found, four times in five."""

import math
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.drift.power import FOUND_SHARE
from measurements.hoof.quantities import Quantity
from measurements.hoof.student_t import t_quantile
from measurements.hoof.trend import RATE_CONFIDENCE, TRIM_SD_DEG, TRIM_SD_MM, Trend

FEWEST_LEVELS = 5  # with fewer, hardly anything is found; house default
_NORMAL = NormalDist()
# The middle of each 64th of the residual variances, as quantiles of the normal distribution.
_NODES_Z = np.array([_NORMAL.inv_cdf((node + 0.5) / 64) for node in range(64)])
_below = np.vectorize(_NORMAL.cdf, otypes=[np.float64])


def line_would_show(trend: Trend, quantity: Quantity) -> float | None:
    """The change from the first to the last level (base unit, either way) found with 0.8.

    `Trend.is_moving` asks two things of the line's rise: that it is more than two readings' error
    and that its t interval leaves zero out. The rise is normal about the true one and the residual
    variance, never taken as under 1, is chi-square (Draper & Smith, Applied Regression Analysis,
    3rd ed., ch. 1), so that the chance is an integral over one variable. Holds for readings of
    the SDs assumed and a change that is spread evenly. `None` with fewer than five levels.
    """
    levels = trend.levels
    if len(levels) < FEWEST_LEVELS:
        return None
    trim_sd = TRIM_SD_DEG if quantity.is_angle else TRIM_SD_MM
    weights = np.hypot([level.sd for level in levels], trim_sd) ** -2.0
    at = np.array([float(level.trim_index) for level in levels])
    spread = float(np.sum(weights * (at - np.average(at, weights=weights)) ** 2))
    error = float(at[-1] - at[0]) / math.sqrt(spread)
    freedom = len(levels) - 2
    variance = np.maximum(1.0, chi_square_over_freedom(_NODES_Z, freedom))
    far = t_quantile(RATE_CONFIDENCE, freedom)
    wanted = np.maximum(far * np.sqrt(variance) * error, trend.detectable_change)
    low, high = 0.0, float(wanted.max()) + 4.0 * error
    for _ in range(40):  # halves the range each time: far below a hundredth of the error
        middle = (low + high) / 2.0
        found = float(_below((middle - wanted) / error).mean())
        low, high = (middle, high) if found < FOUND_SHARE else (low, middle)
    return high


def chi_square_over_freedom(z: NDArray[np.float64], freedom: int) -> NDArray[np.float64]:
    """Quantiles of a chi-square over its degrees of freedom, at the normal quantiles `z` (no unit).

    The cube of Wilson and Hilferty (Abramowitz & Stegun, Handbook of Mathematical Functions (1964),
    26.4.17): within 3 % of the exact ones from three degrees of freedom on, where they count here.
    """
    part = 2.0 / (9.0 * freedom)
    return np.asarray(np.maximum(1.0 - part + z * math.sqrt(part), 0.0) ** 3)
