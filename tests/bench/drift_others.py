"""How often a stable length or pastern angle with a band is said to be on its way out of it.

Quantities besides the toe and heel angle are judged by a straight line, which alerts only toward
the edge of a band. Each visit asks what the board asks; the first alert ends a series.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from measurements.hoof.growth import CYCLE_DAYS, growth_prior
from measurements.hoof.quantities import QUANTITIES, Method, Shoeing, TrimState, error_sd
from measurements.hoof.series import SeriesReading
from measurements.hoof.trend import (
    SPEAK_UP_DAYS,
    TRIM_SD_DEG,
    TRIM_SD_MM,
    TooFewReadings,
    crossing,
    fit_trend,
)
from measurements.hoof.trend_power import line_would_show

VISITS, INTERVAL_DAYS = 24, 49.0
LEVELS = {"toe_length": 85.0, "pastern_angle": 52.0, "hoof_width": 130.0}


@dataclass(frozen=True)
class Stable:
    """One cell: a foot that does not change in `quantity`, with a band of so much to either side;
    base unit."""

    quantity: str
    method: Method
    trim_sd: float
    band_half: float


CELLS = (
    Stable("pastern_angle", Method.GAUGE, 0.7, 2.0),
    Stable("pastern_angle", Method.GAUGE, 1.2, 2.0),
    Stable("toe_length", Method.TAPE, 1.0, 5.0),
    Stable("toe_length", Method.TAPE, 3.0, 5.0),
    Stable("hoof_width", Method.TAPE, 2.0, 4.0),
)


def false_moves(cell: Stable, count: int, seed: int) -> tuple[int, int]:
    """False alerts, and the visits from the third on at which one could have come."""
    alerts = visits = 0
    for index in range(count):
        known: list[SeriesReading] = []
        for visit, readings in enumerate(_visits(cell, np.random.default_rng((seed, index)))):
            known += readings
            if visit < 2:
                continue
            visits += 1
            if _alerts(cell, known):
                alerts += 1
                break
    return alerts, visits


def _alerts(cell: Stable, known: list[SeriesReading]) -> bool:
    trend = fit_trend(known, QUANTITIES[cell.quantity])
    if isinstance(trend, TooFewReadings) or not trend.is_moving:
        return False
    level, falling = LEVELS[cell.quantity], trend.rate_per_trim < 0
    low, high = level - cell.band_half, level + cell.band_half
    found = crossing(trend, low if falling else None, None if falling else high, INTERVAL_DAYS)
    return found is not None and found.likely_days <= SPEAK_UP_DAYS


def _visits(cell: Stable, rng: np.random.Generator) -> Iterator[list[SeriesReading]]:
    """The readings of each visit: before (10 % missing) and after (20 % missing) its trim."""
    quantity, level = QUANTITIES[cell.quantity], LEVELS[cell.quantity]
    sd, prior = error_sd(quantity, cell.method), growth_prior(quantity, Shoeing.SHOD)
    growth = rng.normal(prior.mean_per_56_days, prior.sd_per_56_days)
    left, day = 0.0, 0.0
    for visit in range(VISITS):
        gap = max(21.0, rng.normal(INTERVAL_DAYS, 7.0))
        day += gap
        found, left = left, rng.normal(0.0, cell.trim_sd)
        readings = []
        if visit and rng.random() >= 0.1:
            value = level + found + growth * gap / CYCLE_DAYS
            readings.append((value, visit - 1, gap, TrimState.BEFORE))
        if rng.random() >= 0.2:
            readings.append((level + left, visit, 0.0, TrimState.AFTER))
        yield [
            SeriesReading(
                at_days=day + 0.04 * (state is TrimState.AFTER),
                value=value + rng.normal(0.0, sd),
                sd=sd,
                trim_index=trim,
                days_since_trim=since,
                trim_state=state,
                shoeing=Shoeing.SHOD,
                method=cell.method,
                by="first",
            )
            for value, trim, since, state in readings
        ]


def line_share_found(cell: Stable, count: int, seed: int, visits: int = 12) -> float:
    """How often the change that a quiet straight line says would have shown, does show."""
    quantity, found, told = QUANTITIES[cell.quantity], 0, 0
    sd = TRIM_SD_DEG if quantity.is_angle else TRIM_SD_MM
    varying = replace(cell, trim_sd=sd)  # as the line assumes
    for index in range(count):
        rng = np.random.default_rng((seed, index))
        known = [
            row
            for _, rows in zip(range(visits), _visits(varying, rng), strict=False)
            for row in rows
        ]
        still = fit_trend(known, quantity)
        size = None if isinstance(still, TooFewReadings) else line_would_show(still, quantity)
        if size is None or isinstance(still, TooFewReadings):
            continue
        first, last = still.levels[0].trim_index, still.levels[-1].trim_index
        rate = (size if index % 2 else -size) / (last - first)
        moved = [replace(row, value=row.value + rate * (row.trim_index - first)) for row in known]
        trend = fit_trend(moved, quantity)
        told += 1
        found += not isinstance(trend, TooFewReadings) and trend.is_moving
    return found / told
