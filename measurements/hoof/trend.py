"""The simple honest trend: a straight line through growth-corrected levels, one per trim.

It is meant to be read by people beside the chart, and says so when there is too little to say.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.bands import check_band
from measurements.hoof.errors import HoofError
from measurements.hoof.growth import CYCLE_DAYS, Growth, at_trim, growth_prior, own_growth
from measurements.hoof.quantities import Quantity, Shoeing, mdc95
from measurements.hoof.series import SeriesReading
from measurements.hoof.straight_line import StraightLine, straight_line

MIN_TRIMS = 3  # a line through two points has no error to judge it by
WINDOW_TRIMS = 12  # house default: about two years; older levels say little about the next visit
HORIZON_DAYS = 730  # house default: nobody plans further, and a line holds less
SPEAK_UP_DAYS = 365  # a crossing further ahead is no reason to speak up yet; house default: a year
RATE_CONFIDENCE = 0.95
DATE_CONFIDENCE = 0.80  # house default: dates at 95 % span seasons and help nobody plan

# Trim-to-trim SD of the level. Angles 0.7 deg and lengths 3 mm: house defaults.
TRIM_SD_DEG = 0.7
TRIM_SD_MM = 3.0


@dataclass(frozen=True)
class Level:
    """The foot at one trim, growth since it taken out: mean of that cycle's readings."""

    trim_index: int
    trim_day: float
    value: float
    sd: float  # measuring and growth error, without trim-to-trim variation
    days_since_trim: float  # weighted mean of its readings
    readings: int


@dataclass(frozen=True)
class TooFewReadings:
    """No trend can be told yet: `trims` known in the present shoeing state, `needed` for one."""

    trims: int
    needed: int


@dataclass(frozen=True)
class Trend:
    """What a straight line says of one quantity on one foot; base unit, per trim, signed.

    Limits are 95 %. `change` is the line's rise over the window and `detectable_change` what
    the methods could see between its ends; `change_is_visible` is false below that.
    """

    shoeing: Shoeing
    levels: tuple[Level, ...]
    growth: Growth
    line: StraightLine  # x counts trims from the last one (0, -1, ...)
    rate_per_trim: float
    rate_low: float
    rate_high: float
    level: float
    level_low: float
    level_high: float
    change: float
    detectable_change: float

    @property
    def change_is_visible(self) -> bool:
        """Whether these methods could see a change of this size at all."""
        return abs(self.change) > self.detectable_change

    @property
    def is_moving(self) -> bool:
        """Whether the change is visible and its rate surely not zero."""
        return self.change_is_visible and (self.rate_low > 0 or self.rate_high < 0)


@dataclass(frozen=True)
class TrendCrossing:
    """When the line leaves a band, whole days from the last trim; None is not within two years.

    Days are 0 when the level is already past that edge.
    """

    edge: Literal["low", "high"]
    earliest_days: int
    likely_days: int
    latest_days: int | None


def latest_stretch(readings: Sequence[SeriesReading]) -> list[SeriesReading]:
    """The last readings in one shoeing state, oldest first, exact repeats of a row once.

    A changed state starts a new baseline, so earlier readings say nothing about it.
    """
    ordered = sorted(dict.fromkeys(readings), key=_moment)
    stretch: list[SeriesReading] = []
    for reading in reversed(ordered):
        if stretch and reading.shoeing != stretch[-1].shoeing:
            break
        stretch.append(reading)
    return stretch[::-1]


def levels_by_trim(readings: Sequence[SeriesReading], growth: Growth) -> list[Level]:
    """One level per trim from readings of one shoeing state, oldest first.

    Readings are weighted by their own error and by what is not known of the growth.
    """
    cycles: dict[int, list[SeriesReading]] = {}
    for reading in readings:
        cycles.setdefault(reading.trim_index, []).append(reading)
    return [_level(index, cycles[index], growth) for index in sorted(cycles)]


def fit_trend(readings: Sequence[SeriesReading], quantity: Quantity) -> Trend | TooFewReadings:
    """The rate per trim and present level of one quantity on one foot, each with its interval.

    `readings` in any order, all of this quantity and foot. Uses the last stretch in one shoeing
    state, at most its last 12 trims; the growth is this horse's own as far as its cycles show
    it. Fewer than 3 trims answer `TooFewReadings`. Intervals are t intervals of a weighted line
    and never narrower than the known measuring error allows. Limits: a single wild
    reading pulls the line; a step looks like a slope.
    """
    stretch = latest_stretch(readings)
    trims = sorted({reading.trim_index for reading in stretch})[-WINDOW_TRIMS:]
    if len(trims) < MIN_TRIMS:
        return TooFewReadings(trims=len(trims), needed=MIN_TRIMS)
    window = [reading for reading in stretch if reading.trim_index >= trims[0]]
    shoeing = window[-1].shoeing
    growth = own_growth(window, growth_prior(quantity, shoeing))
    levels = levels_by_trim(window, growth)
    return _trend(shoeing, levels, growth, _line_through(levels, quantity, growth))


def crossing(
    trend: Trend,
    low: float | None,
    high: float | None,
    visit_interval_days: float,
    moment_shift: float = 0.0,
) -> TrendCrossing | None:
    """When the level leaves a band if it goes on like this; None when it does not in two years.

    `low`, `high` in the base unit, None for an open side. `visit_interval_days` (> 0) turns
    trims into days. `moment_shift` is added to the level: 0 for a band that holds just after the
    trim, the expected change of a whole interval for one at its end. The likely day is the
    line's own; earliest and latest are where the edges of its 80 % interval pass the same side.
    Raises `BandImpossible`, and `HoofError` for an interval that is not positive.
    """
    check_band(low, high)
    if not (math.isfinite(visit_interval_days) and visit_interval_days > 0):
        raise HoofError("The visit interval must be more than zero days.")
    visits = np.arange(HORIZON_DAYS + 1) / visit_interval_days
    middle = trend.line.at(visits) + moment_shift
    half = trend.line.half_width(visits, DATE_CONFIDENCE)
    found = []
    if low is not None:
        found.append(_first_below("low", middle, half, low))
    if high is not None:
        found.append(_first_below("high", -middle, half, -high))
    return min(filter(None, found), key=lambda one: one.likely_days, default=None)


def _first_below(
    edge: Literal["low", "high"],
    middle: NDArray[np.float64],
    half: NDArray[np.float64],
    bound: float,
) -> TrendCrossing | None:
    earliest, likely, latest = (
        _first_day(line < bound) for line in (middle - half, middle, middle + half)
    )
    if earliest is None or likely is None:
        return None
    return TrendCrossing(edge, earliest, likely, latest)


def _first_day(past: NDArray[np.bool_]) -> int | None:
    return int(np.argmax(past)) if past.any() else None


def _moment(reading: SeriesReading) -> tuple[float | str, ...]:
    # Everything after the time only makes the order, and so the sums, the same for any entry order.
    return (
        reading.at_days,
        reading.trim_index,
        -reading.days_since_trim,
        reading.shoeing.value,
        reading.value,
        reading.sd,
        reading.method.value,
        reading.by,
        reading.key,
    )


def _level(trim_index: int, cycle: Sequence[SeriesReading], growth: Growth) -> Level:
    days = np.array([reading.days_since_trim for reading in cycle])
    growth_error = growth.sd_per_56_days * days / CYCLE_DAYS
    weights = 1 / (np.array([reading.sd for reading in cycle]) ** 2 + growth_error**2)
    values = at_trim([reading.value for reading in cycle], days, growth)
    trim_days = np.array([reading.at_days for reading in cycle]) - days
    return Level(
        trim_index=trim_index,
        trim_day=float(np.median(trim_days)),
        value=float(np.average(values, weights=weights)),
        sd=float(weights.sum() ** -0.5),
        days_since_trim=float(np.average(days, weights=weights)),
        readings=len(cycle),
    )


def _line_through(levels: Sequence[Level], quantity: Quantity, growth: Growth) -> StraightLine:
    trim_sd = TRIM_SD_DEG if quantity.is_angle else TRIM_SD_MM
    sds = np.hypot([level.sd for level in levels], trim_sd)
    trims = np.array([level.trim_index for level in levels]) - levels[-1].trim_index
    line = straight_line(trims, [level.value for level in levels], sds, least_variance=1.0)
    # What is not known of the growth shifts every level the same way: more readings do not help.
    days = np.average([level.days_since_trim for level in levels], weights=sds**-2.0)
    shared = growth.sd_per_56_days * float(days) / CYCLE_DAYS
    return replace(line, intercept_variance=line.intercept_variance + shared**2)


def _trend(shoeing: Shoeing, levels: Sequence[Level], growth: Growth, line: StraightLine) -> Trend:
    half_rate = line.slope_half_width(RATE_CONFIDENCE)
    half_level = float(line.half_width(0.0, RATE_CONFIDENCE))
    trims = levels[-1].trim_index - levels[0].trim_index
    return Trend(
        shoeing=shoeing,
        levels=tuple(levels),
        growth=growth,
        line=line,
        rate_per_trim=line.slope,
        rate_low=line.slope - half_rate,
        rate_high=line.slope + half_rate,
        level=line.intercept,
        level_low=line.intercept - half_level,
        level_high=line.intercept + half_level,
        change=line.slope * trims,
        detectable_change=mdc95(levels[0].sd, levels[-1].sd),
    )
