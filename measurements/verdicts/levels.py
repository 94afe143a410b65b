"""Where a foot stands just after its trim, and what it does until the next one."""

from dataclasses import dataclass
from typing import Any

from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.growth import Growth, at_trim, growth_prior, own_growth
from measurements.hoof.quantities import QUANTITIES, Z_95_TWO_SIDED
from measurements.hoof.series import SeriesReading
from measurements.hoof.trend import TooFewReadings
from measurements.models import FootVerdict
from measurements.queries.numbers import Numbers
from measurements.verdicts.bands import trend_of
from measurements.verdicts.words import finding_of


@dataclass(frozen=True)
class PresentLevel:
    """The level just after the last trim with its 95 % interval, and the horse's own growth; base
    unit. The interval may reach further to one side, where a change may not have been found yet.
    """

    value: float
    low: float
    high: float
    growth: Growth
    visits: int  # how many trims it rests on


def present_level(
    numbers: Numbers, foot: str, quantity: str, verdict: FootVerdict | None
) -> PresentLevel | None:
    """From the verdict for the angles that have one, else from the straight line; None without a
    reading whose trim is known. With too few visits for both, the newest reading speaks.
    """
    rows = numbers.series(foot, quantity)
    if not rows:
        return None
    finding = finding_of(verdict.result, quantity) if verdict is not None else None
    if finding is not None and quantity in DRIFT_QUANTITIES:
        return _judged(finding, len({row.trim_index for row in rows}))
    trend = trend_of(numbers, foot, quantity)
    if isinstance(trend, TooFewReadings):
        return _newest(rows, quantity)
    return PresentLevel(
        trend.level, trend.level_low, trend.level_high, trend.growth, len(trend.levels)
    )


def _judged(finding: Any, visits: int) -> PresentLevel:
    level, low, high = finding["level"]
    growth, least, most = finding["growth_per_56_days"]
    return PresentLevel(
        level,
        low,
        high,
        Growth(growth, (most - least) / 2 / Z_95_TWO_SIDED),
        visits,
    )


def _newest(rows: list[SeriesReading], quantity: str) -> PresentLevel:
    last = rows[-1]
    alike = [row for row in rows if row.shoeing == last.shoeing]
    growth = own_growth(alike, growth_prior(QUANTITIES[quantity], last.shoeing))
    value = float(at_trim([last.value], [last.days_since_trim], growth)[0])
    half = Z_95_TWO_SIDED * last.sd
    visits = len({row.trim_index for row in alike})
    return PresentLevel(value, value - half, value + half, growth, visits)
