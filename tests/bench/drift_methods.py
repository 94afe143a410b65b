"""What people would use instead, for comparison: one statistic per visit, larger means alarm.

Each gets its limits from stable series, visit by visit, so that all have the same false alarms.
Two of the packages are imported where they are called: that takes seconds, and every process of the
tests imports this file with the goals of speed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from measurements.hoof.drift.arrays import Question, SeriesArrays, build_arrays
from measurements.hoof.drift.model import covariance, drift_columns, step_columns, walk_covariance
from measurements.hoof.drift.priors import DRIFT_PRIORS, VISITS_NEEDED, DriftPrior
from tests.bench.drift_simulate import Simulated

EWMA_WEIGHT = 0.3
CUSUM_SLACK = 0.5
PAGE_HINKLEY_SLACK_DEG = 0.25
REFERENCE_VISITS = 3
_PRIOR = DRIFT_PRIORS["toe_angle"]


@dataclass(frozen=True)
class Seen:
    """A toe series as arrays, with the visit (0, 1, ...) by which each reading is known."""

    arrays: SeriesArrays
    visit: np.ndarray
    visits: int
    wild: np.ndarray

    @property
    def corrected(self) -> np.ndarray:
        """Values with the usual growth taken out."""
        return self.arrays.value - _PRIOR.level_mean - self.arrays.mean + 2 * _PRIOR.level_mean


def seen(series: Simulated) -> Seen:
    """The toe readings of a series, each with the visit at which it is judged."""
    arrays = build_arrays(series.readings["toe_angle"], Question(_PRIOR))
    visit = np.searchsorted(series.visit_days, arrays.at_days - 0.5)
    wild = np.array(series.wild)[arrays.order]
    return Seen(arrays, visit, series.scenario.visits, wild)


def by_visit(series: Seen, statistic: Callable[[Seen, int], float]) -> np.ndarray:
    """A statistic at every visit from the third on, on what was known then."""
    values = np.full(series.visits, -np.inf)
    for visit in range(VISITS_NEEDED - 1, series.visits):
        known = int(np.searchsorted(series.visit, visit, side="right"))
        if known >= 3:
            values[visit] = statistic(series, known)
    return values


def fixed_threshold(series: Seen) -> np.ndarray:
    """The latest reading against the first, raw."""
    return by_visit(series, lambda s, n: abs(s.arrays.value[n - 1] - s.arrays.value[0]))


def straight_line_t(days: np.ndarray, values: np.ndarray) -> float:
    """|t| of the least-squares slope."""
    centred = days - days.mean()
    slope = (centred @ values) / (centred @ centred)
    left = values - values.mean() - slope * centred
    variance = (left @ left) / (len(values) - 2) / (centred @ centred)
    return float(abs(slope) / np.sqrt(variance + 1e-12))


def straight_line(series: Seen) -> np.ndarray:
    """|t| of a straight line through all raw readings."""
    arrays = series.arrays
    return by_visit(series, lambda s, n: straight_line_t(arrays.at_days[:n], arrays.value[:n]))


def mann_kendall_z(values: np.ndarray) -> float:
    """Mann-Kendall Z with continuity and tie correction (signed)."""
    n = len(values)
    signs = np.sign(values[None, :] - values[:, None])
    total = float(signs[np.triu_indices(n, 1)].sum())
    ties = np.unique(values, return_counts=True)[1]
    variance = (n * (n - 1) * (2 * n + 5) - (ties * (ties - 1) * (2 * ties + 5)).sum()) / 18.0
    return (total - np.sign(total)) / np.sqrt(variance) if variance > 0 else 0.0


def mann_kendall(series: Seen) -> np.ndarray:
    """|Z| of Mann-Kendall on raw readings."""
    return by_visit(series, lambda s, n: abs(mann_kendall_z(s.arrays.value[:n])))


def visit_levels(series: Seen, known: int) -> np.ndarray:
    """Mean growth-corrected level at each visit that has readings."""
    visit, value = series.visit[:known], series.corrected[:known]
    return np.array([value[visit == each].mean() for each in np.unique(visit)])


def tabular_cusum(values: np.ndarray, target: float, slack: float) -> tuple[np.ndarray, np.ndarray]:
    """Upper and lower one-sided sums (NIST/SEMATECH e-Handbook 6.3.2.3)."""
    high, low = [0.0], [0.0]
    for value in values:
        high.append(max(0.0, high[-1] + value - target - slack))
        low.append(max(0.0, low[-1] + target - slack - value))
    return np.array(high[1:]), np.array(low[1:])


def cusum(series: Seen) -> np.ndarray:
    """Growth-corrected tabular CUSUM, each level against the mean of those before it."""

    def statistic(s: Seen, known: int) -> float:
        levels = visit_levels(s, known)
        before = np.cumsum(levels)[:-1] / np.arange(1, len(levels))
        surprise = (levels[1:] - before) / np.sqrt(1.0 + 1.0 / np.arange(1, len(levels)))
        high, low = tabular_cusum(surprise, 0.0, CUSUM_SLACK)
        return float(max(high[-1], low[-1])) if len(surprise) else -np.inf

    return by_visit(series, statistic)


def page_hinkley_test(values: np.ndarray, means: np.ndarray, slack: float) -> float:
    """The larger of the two Page-Hinkley sums at the last value: how far the sum of deviations
    from the means stands above its lowest, or below its highest, point so far (Page, Biometrika
    1954;41:100-115; Hinkley, Biometrika 1971;58:509-523). 0 before the first value."""
    rising = np.concatenate([[0.0], np.cumsum(values - means - slack)])
    falling = np.concatenate([[0.0], np.cumsum(values - means + slack)])
    return float(max(rising[-1] - rising.min(), falling.max() - falling[-1]))


def page_hinkley(series: Seen) -> np.ndarray:
    """Page-Hinkley on raw readings, each against the mean of all up to it."""

    def statistic(s: Seen, known: int) -> float:
        values = s.arrays.value[:known]
        means = np.cumsum(values) / np.arange(1, known + 1)
        return page_hinkley_test(values, means, PAGE_HINKLEY_SLACK_DEG)

    return by_visit(series, statistic)


def change_point_gain(values: np.ndarray) -> float:
    """How much one change of the mean, at the best place, takes off the sum of squares."""
    import ruptures

    if len(values) < 2:
        return 0.0
    search = ruptures.Dynp(model="l2", min_size=1, jump=1).fit(values)
    return float(
        search.cost.sum_of_costs([len(values)]) - search.cost.sum_of_costs(search.predict(1))
    )


def change_point(series: Seen) -> np.ndarray:
    """The best single change point of the growth-corrected levels, by the library."""
    return by_visit(series, lambda s, n: change_point_gain(visit_levels(s, n)))


def ewma(values: np.ndarray, start: float, weight: float) -> np.ndarray:
    """Exponentially weighted moving average (NIST/SEMATECH e-Handbook 6.3.2.4)."""
    averages, now = [], start
    for value in values:
        now = weight * value + (1.0 - weight) * now
        averages.append(now)
    return np.array(averages)


def ewma_growth(series: Seen) -> np.ndarray:
    """Growth-corrected EWMA against the mean of the first three visits."""

    def statistic(s: Seen, known: int) -> float:
        levels = visit_levels(s, known)
        reference = levels[:REFERENCE_VISITS].mean()
        return float(abs(ewma(levels, reference, EWMA_WEIGHT)[-1] - reference))

    return by_visit(series, statistic)


def kalman(series: Seen) -> np.ndarray:
    """How far a wandering level has gone since the first trim, in its own SDs (smoothed)."""
    arrays = series.arrays
    trim = arrays.trim
    walk = walk_covariance(trim, _PRIOR.walk_sd)
    spread = covariance(arrays, _PRIOR.trim_sd, arrays.sd**2) + walk

    def statistic(s: Seen, known: int) -> float:
        now = _PRIOR.walk_sd**2 * np.minimum(trim[:known], trim[:known].max())
        gain = np.linalg.solve(spread[:known, :known], now)
        variance = max(gain @ now, 1e-9)
        return float(abs(gain @ arrays.residual[:known]) / np.sqrt(variance))

    return by_visit(series, statistic)


# Of the local linear trend, deg: what a level and its slope wander by from reading to reading. The
# error is that of a reading and its trim together.
LEVEL_WANDER_DEG, SLOPE_WANDER_DEG = 0.2, 0.05


def local_linear_trend(series: Seen) -> np.ndarray:
    """The slope that statsmodels' local linear trend filters out, in its own SDs; variances known
    (fitting them anew at each visit would take a hundred times as long)."""
    from statsmodels.tsa.statespace.structural import UnobservedComponents

    values = series.corrected
    model = UnobservedComponents(values, "lltrend")
    error = _PRIOR.trim_sd**2 + float(np.mean(series.arrays.sd)) ** 2
    filtered = model.filter([error, LEVEL_WANDER_DEG**2, SLOPE_WANDER_DEG**2])
    slope = filtered.filtered_state[1]
    sd = np.sqrt(np.maximum(filtered.filtered_state_cov[1, 1], 1e-9))
    return by_visit(series, lambda s, known: float(abs(slope[known - 1] / sd[known - 1])))


def limit_detector(rate: float, step: float) -> Callable[[Seen], np.ndarray]:
    """The best possible: size of change, errors and wild readings known; only the horse's own
    level and growth, the direction and the onset are not."""
    prior = DriftPrior(**{**_PRIOR.__dict__, "level_sd": 4.0, "offset_sd": 1e-6})

    def detect(series: Seen) -> np.ndarray:
        known_prior = Question(prior)
        arrays = series.arrays
        design_sd = np.array(
            [
                1e-6 if k == "offset" else 4.0 if k == "level" else s
                for k, s in zip(arrays.column_kind, arrays.design_sd, strict=True)
            ]
        )
        arrays = SeriesArrays(**{**arrays.__dict__, "design_sd": design_sd})
        error = arrays.sd**2 + np.where(series.wild, 16.0, 0.0)
        spread = covariance(arrays, known_prior.prior.trim_sd, error)
        root = np.linalg.inv(np.linalg.cholesky(spread))

        def statistic(s: Seen, known: int) -> float:
            onsets = np.arange(max(0, arrays.trim[:known].max() - 14), arrays.trim[:known].max())
            shape, size = (step_columns, step) if step else (drift_columns, rate)
            columns = root[:known, :known] @ shape(arrays.trim[:known], onsets)
            white = root[:known, :known] @ arrays.residual[:known]
            score, information = columns.T @ white, (columns**2).sum(axis=0)
            both = np.concatenate([size * score, -size * score])
            return float(logsumexp(both - np.tile(0.5 * size**2 * information, 2)))

        return by_visit(series, statistic)

    return detect


METHODS: dict[str, Callable[[Seen], np.ndarray]] = {
    "fixed threshold against the first reading": fixed_threshold,
    "straight line through all readings": straight_line,
    "Mann-Kendall, raw": mann_kendall,
    "Page-Hinkley, raw": page_hinkley,
    "CUSUM, growth-corrected": cusum,
    "EWMA, growth-corrected": ewma_growth,
    "change point (ruptures), growth-corrected": change_point,
    "Kalman, change since the first trim": kalman,
    "local linear trend (statsmodels)": local_linear_trend,
}


def visit_limits(stable: Sequence[np.ndarray], visits_per_false_alarm: float) -> np.ndarray:
    """Limits by visit so that the false alarm rate is constant from the third visit on."""
    table = np.array(stable)
    quiet = np.ones(len(table), dtype=bool)
    limits = np.full(table.shape[1], np.inf)
    for visit in range(VISITS_NEEDED - 1, table.shape[1]):
        limits[visit] = np.quantile(table[quiet, visit], 1.0 - 1.0 / visits_per_false_alarm)
        quiet &= table[:, visit] <= limits[visit]
    return limits


def first_above(values: np.ndarray, limits: np.ndarray) -> int | None:
    """The first visit above its limit."""
    above = np.flatnonzero(values > limits[: len(values)])
    return int(above[0]) if len(above) else None
