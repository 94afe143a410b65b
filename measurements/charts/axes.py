"""The two axes of a chart: round values up the side, months along the foot. Pure."""

import math
from dataclasses import dataclass
from datetime import date, timedelta

MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60, 120)
DAY_STEPS = (1, 2, 7, 14)
DAYS_PER_MONTH = 30.44
LONGEST_IN_DAYS = 75  # days; below it the days themselves are named (house default)
FINE = 9  # steps between which a small chart's two ends are chosen; house default
EDGE_SHARE = 0.06  # of the range, left free above and below the marks (house default)


@dataclass(frozen=True)
class Tick:
    """One mark on an axis: where, and what is written at it (a second line for the year)."""

    at: float
    text: str
    below: str = ""


def value_range(values: list[float], least: float) -> tuple[float, float]:
    """The span of the values with a little air, and never so narrow that noise looks like change.

    `least` (> 0) is the smallest span, in the unit of the values.
    """
    low, high = min(values), max(values)
    span = max(high - low, least)
    middle, half = (low + high) / 2, span * (0.5 + EDGE_SHARE)
    return middle - half, middle + half


def value_ticks(low: float, high: float, most: int) -> list[Tick]:
    """Round values within the range, at most `most` (>= 1) of them."""
    step = _round_step((high - low) / most)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    if round(step, decimals) != round(step, decimals + 1):
        decimals += 1  # a step of 2.5 or 0.25
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [Tick(n * step, _plain(n * step, decimals)) for n in range(first, last + 1)][:most]


def end_ticks(low: float, high: float) -> list[Tick]:
    """The lowest and the highest round value within the range: a scale for a small chart."""
    found = value_ticks(low, high, FINE)
    return [found[0], found[-1]] if len(found) > 1 else found


def _round_step(least: float) -> float:
    size = 10.0 ** math.floor(math.log10(least))
    return next(size * part for part in (1, 2, 2.5, 5, 10) if size * part >= least - 1e-12)


def _plain(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if not float(text) else text


def date_ticks(first: date, last: date, most: int) -> list[Tick]:
    """Beginnings of months (or days, when there are few) between two days, at most `most`."""
    days = (last - first).days
    if days <= LONGEST_IN_DAYS:
        return _day_ticks(first, days, most)
    months = days / DAYS_PER_MONTH
    step = next((s for s in MONTH_STEPS if months / s <= most), MONTH_STEPS[-1])
    found, year = [], 0
    for day in _month_starts(first, last, step):
        found.append(Tick(day.toordinal(), f"{day:%b}", f"{day:%Y}" if day.year != year else ""))
        year = day.year
    return found


def _month_starts(first: date, last: date, step: int) -> list[date]:
    counted = first.year * 12 + first.month - (first.day == 1)
    start = math.ceil(counted / step) * step
    end = last.year * 12 + last.month - 1
    return [date(n // 12, n % 12 + 1, 1) for n in range(start, end + 1, step)]


def _day_ticks(first: date, days: int, most: int) -> list[Tick]:
    step = next((s for s in DAY_STEPS if days / s < most), math.ceil((days + 1) / most))
    found, year = [], 0
    for passed in range(0, days + 1, step):
        day = first + timedelta(days=passed)
        below = f"{day:%Y}" if day.year != year else ""
        found.append(Tick(day.toordinal(), f"{day.day} {day:%b}", below))
        year = day.year
    return found
