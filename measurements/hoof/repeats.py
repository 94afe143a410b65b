"""How well one person measures, from their own repeats, and how two people differ.

A repeat: two or more readings of one foot, quantity and method by one person on one day in one
trim state. The spread inside such groups is the person's measuring error (Bland & Altman, Lancet
1986;i:307-310: within-subject SD), pulled towards the method's usual error while repeats are few.
"""

import math
from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Z_95_TWO_SIDED

# The method's usual error counts like this many differences between repeats. House default: after
# about ten repeats a person's own figure weighs more.
PRIOR_DEGREES = 10.0
# A person may be much better than usual, but a repeat taken at once with the same stance and mark
# says less than a fresh visit would: the SD is never taken below this share. House default.
LOWEST_SHARE = 0.4
# How far two persons' readings usually lie apart before any comparison, as a multiple of the error
# of one reading. From memory: about 1 deg between persons at 1 deg error.
BIAS_PRIOR_SHARE = 1.0


@dataclass(frozen=True)
class MeasuringError:
    """A person's error SD with one method, base unit.

    `sd`: to be used for their readings. `own_sd`: from repeats alone (`None` without any).
    `repeats`: independent differences behind it. `usual_sd`: the method's default.
    `repeatability`: two careful readings differ by less than this in 95 of 100 cases.
    """

    sd: float
    own_sd: float | None
    repeats: int
    usual_sd: float

    @property
    def repeatability(self) -> float:
        """1.96 * sqrt(2) * sd."""
        return Z_95_TWO_SIDED * math.sqrt(2.0) * self.sd


def within_sd(groups: Sequence[Sequence[float]]) -> tuple[float | None, int]:
    """The SD inside groups of repeats and its degrees of freedom (sum of sizes less one each).

    For pairs this is sqrt(sum d^2 / (2 n)), the published within-subject SD. Groups of one say
    nothing. Raises `HoofError` for values that are not numbers.
    """
    total, degrees = 0.0, 0
    for group in groups:
        values = np.asarray(group, dtype=np.float64)
        if not np.isfinite(values).all():
            raise HoofError("Repeated readings must be numbers.")
        if len(values) > 1:
            total += float(((values - values.mean()) ** 2).sum())
            degrees += len(values) - 1
    return (math.sqrt(total / degrees), degrees) if degrees else (None, 0)


def own_error(groups: Sequence[Sequence[float]], usual_sd: float) -> MeasuringError:
    """A person's error with one method from their groups of repeats (base unit).

    `usual_sd` (> 0): the method's error between careful persons. The variances are averaged,
    the usual one with a weight of `PRIOR_DEGREES` (scaled inverse chi-squared prior, Gelman,
    Bayesian Data Analysis 3rd ed. section 2.6, from memory). Raises `HoofError`.
    """
    if not (math.isfinite(usual_sd) and usual_sd > 0):
        raise HoofError("The usual measuring error must be more than zero.")
    own, degrees = within_sd(groups)
    own_total = 0.0 if own is None else degrees * own**2
    variance = (PRIOR_DEGREES * usual_sd**2 + own_total) / (PRIOR_DEGREES + degrees)
    sd = max(math.sqrt(variance), LOWEST_SHARE * usual_sd)
    return MeasuringError(sd, own, degrees, usual_sd)


def repeat_groups(readings: Sequence[tuple[Hashable, float]]) -> list[list[float]]:
    """Groups readings by what makes them repeats: (foot, quantity, method, person, day, trim state).

    Each reading comes as (that key, value). Only groups of two or more are returned.
    """
    groups: dict[Hashable, list[float]] = defaultdict(list)
    for key, value in readings:
        groups[key].append(value)
    return [group for group in groups.values() if len(group) > 1]


@dataclass(frozen=True)
class PersonBias:
    """How much higher the first person reads than the second, base unit, with 95 % limits.

    `days`: days on which both measured the same foot. `agreement_low`, `agreement_high`: one
    reading of each differs by this much in 95 of 100 cases (`None` under three days).
    """

    bias: float
    low: float
    high: float
    days: int
    agreement_low: float | None
    agreement_high: float | None

    @property
    def is_visible(self) -> bool:
        """Whether the two read differently beyond their errors."""
        return self.low > 0 or self.high < 0


def bias_between(
    pairs: Sequence[tuple[float, float]], first_sd: float, second_sd: float
) -> PersonBias | None:
    """The bias between two persons from readings of the same foot on the same day.

    `pairs`: (first's, second's) value in one base unit; `first_sd`, `second_sd`: their errors.
    Shrunk towards 0 with a prior SD of `BIAS_PRIOR_SHARE` of a reading's error; limits of
    agreement as Bland & Altman 1986. `None` without a pair. Raises `HoofError`.
    """
    if not pairs:
        return None
    differences = np.array([first - second for first, second in pairs], dtype=np.float64)
    if not np.isfinite(differences).all():
        raise HoofError("Compared readings must be numbers.")
    one = math.hypot(first_sd, second_sd)
    if not (math.isfinite(one) and one > 0):
        raise HoofError("The measuring errors must be more than zero.")
    prior_variance = (BIAS_PRIOR_SHARE * max(first_sd, second_sd)) ** 2
    variance = 1.0 / (len(differences) / one**2 + 1.0 / prior_variance)
    bias = variance * float(differences.sum()) / one**2
    half = Z_95_TWO_SIDED * math.sqrt(variance)
    low, high = _agreement(differences)
    return PersonBias(bias, bias - half, bias + half, len(differences), low, high)


def _agreement(differences: np.ndarray) -> tuple[float | None, float | None]:
    if len(differences) < 3:
        return None, None
    mean, spread = float(differences.mean()), float(differences.std(ddof=1))
    return mean - Z_95_TWO_SIDED * spread, mean + Z_95_TWO_SIDED * spread
