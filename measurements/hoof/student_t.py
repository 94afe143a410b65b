"""Student's t for whole degrees of freedom, so that one quantile does not need a library a third as
large as everything else that is installed."""

import math
from functools import lru_cache

import numpy as np

HALVINGS = 80  # of an angle under pi/2: past the last digit of a float


def t_within(t: float, degrees_of_freedom: int) -> float:
    """The probability that |T| is at most `t` (no unit; `t` of at least 0).

    Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4: a finite sum
    in the cosine of the angle atan(t / sqrt(degrees of freedom)). Raises ValueError for less than
    one degree of freedom or a negative `t`.
    """
    if degrees_of_freedom < 1 or t < 0:
        raise ValueError("t needs at least one degree of freedom, and is not negative here")
    return _within_angle(math.atan(t / math.sqrt(degrees_of_freedom)), degrees_of_freedom)


def _within_angle(angle: float, degrees_of_freedom: int) -> float:
    sin, cos = math.sin(angle), math.cos(angle)
    if degrees_of_freedom % 2:
        steps = np.arange(1, (degrees_of_freedom - 1) // 2)
        factors = 2 * steps / (2 * steps + 1) * cos**2
        series = cos * (1 + np.cumprod(factors).sum()) if degrees_of_freedom > 1 else 0.0
        return float(2 / math.pi * (angle + sin * series))
    steps = np.arange(1, degrees_of_freedom // 2)
    factors = (2 * steps - 1) / (2 * steps) * cos**2
    return float(sin * (1 + np.cumprod(factors).sum()))


@lru_cache(maxsize=4096)
def t_quantile(confidence: float, degrees_of_freedom: int) -> float:
    """The t that |T| stays under with this confidence (0 to 1, both excluded; no unit).

    The half width of an interval is this times its standard error. Found by halving the angle, which
    holds wherever the exact sum does. Raises ValueError outside of these ranges.
    """
    if not 0 < confidence < 1 or degrees_of_freedom < 1:
        raise ValueError("a confidence lies between 0 and 1, with at least one degree of freedom")
    low, high = 0.0, math.pi / 2
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if _within_angle(middle, degrees_of_freedom) < confidence:
            low = middle
        else:
            high = middle
    return math.tan((low + high) / 2) * math.sqrt(degrees_of_freedom)
