"""When a level leaves its band if nothing changes: a date with an 80 % range, for either edge.

Decided 2026-11: a forecast has a likely time and chances. Under one in two it has no date, and it
never says that a band holds. The road not taken: a range alone, cut off at today.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints
from measurements.hoof.drift.priors import GROWTH_PERIOD_DAYS
from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Moment

HORIZON_DAYS = 730.0  # house default: further ahead a straight continuation means little
# An 80 % range by coverage: wider ones help nobody plan. Wider on the early side, because a fast drift is
# understated when it has just been found (benchmark). House default.
LOW_SHARE, HIGH_SHARE = 0.03, 0.9
_SEED = 1_863

Edge = Literal["low", "high"]


@dataclass(frozen=True)
class VisitRhythm:
    """When trims happen: day of the last one, mean days between trims and their SD."""

    last_trim_days: float
    interval_days: float
    interval_sd_days: float


@dataclass(frozen=True)
class Outlook:
    """Draws of where a foot stands just after its last trim (`level`), how it goes on
    (`rate` per cycle) and what growth does in 56 days (`growth`); base unit, one length."""

    level: Floats
    rate: Floats
    growth: Floats


@dataclass(frozen=True)
class Crossing:
    """The level leaving its band over one edge.

    Days count from the readings' origin. `chance`: share of draws that cross within two years.
    `earliest_days`, `latest_days`: 80 % range, the latter up to the visit that would show it;
    `latest_days` and `likely_days` are `None` when too many draws never cross. `outside_chance`:
    how likely it is outside already.
    """

    edge: Edge
    edge_value: float
    chance: float
    outside_chance: float
    earliest_days: float | None
    likely_days: float | None
    latest_days: float | None


def rhythm_of(trims: Ints, trim_days: Floats) -> VisitRhythm:
    """The rhythm of the last measured trims (at most eight gaps used).

    `trims`, `trim_days`: index and day of each, rising. A gap over trims that nobody measured is
    as many cycles as the index rises. With fewer than two trims: 49 days, the middle of the
    everyday practice of 6 to 8 weeks.
    """
    gaps, cycles = np.diff(trim_days)[-8:], np.diff(trims)[-8:]
    if not len(gaps):
        return VisitRhythm(float(trim_days[-1]) if len(trim_days) else 0.0, 49.0, 14.0)
    # A prior gap SD of 10 days counts as three gaps: house default.
    interval = float(gaps.sum()) / float(cycles.sum())
    # The days of k cycles vary k times as much (in variance) as those of one.
    squares = float(((gaps - cycles * interval) ** 2 / cycles).sum())
    spread = math.sqrt((3 * 10.0**2 + squares) / (3 + len(gaps)))
    return VisitRhythm(float(trim_days[-1]), interval, spread)


def crossing(
    outlook: Outlook, rhythm: VisitRhythm, edge: Edge, edge_value: float, moment: Moment
) -> Crossing:
    """When the level crosses an edge (base unit) if the drift goes on as it has.

    `moment`: whether the band holds just after the trim or at the end of the cycle; the latter
    adds the growth of one interval. One for any time is left at whichever end comes first. Raises `HoofError` for an edge that is not a number.
    """
    if not math.isfinite(edge_value):
        raise HoofError("A band edge must be a number.")
    sign = 1.0 if edge == "high" else -1.0
    at_end = np.full(outlook.growth.shape, moment is Moment.END_OF_CYCLE)
    if moment is Moment.ANY_TIME:
        at_end = sign * outlook.growth > 0
    lead_days = np.where(at_end, rhythm.interval_days, 0.0)
    level = outlook.level + outlook.growth * lead_days / GROWTH_PERIOD_DAYS
    room = sign * (edge_value - level)
    speed = sign * outlook.rate
    with np.errstate(divide="ignore", invalid="ignore"):
        cycles = np.where(speed > 0, np.maximum(room, 0.0) / speed, np.inf)
    cycles = np.where(room <= 0, 0.0, cycles)
    days = rhythm.last_trim_days + lead_days + _wait(cycles, rhythm)
    days = np.where(days - rhythm.last_trim_days > HORIZON_DAYS, np.inf, days)
    low, middle, high = np.quantile(days, (LOW_SHARE, 0.5, HIGH_SHARE), method="nearest")
    return Crossing(
        edge=edge,
        edge_value=edge_value,
        chance=float(np.isfinite(days).mean()),
        outside_chance=float((room <= 0).mean()),
        earliest_days=_finite(low),
        likely_days=_finite(middle),
        latest_days=_finite(high + rhythm.interval_days),
    )


def _wait(cycles: Floats, rhythm: VisitRhythm) -> Floats:
    """Days until so many cycles are over, the intervals varying as they have."""
    half = np.random.default_rng(_SEED).standard_normal(len(cycles) // 2)
    noise = np.concatenate([half, half])
    reachable = np.minimum(cycles, HORIZON_DAYS)
    vary = rhythm.interval_sd_days * np.sqrt(np.minimum(reachable, reachable**2)) * noise
    wait: Floats = np.maximum(0.0, reachable * rhythm.interval_days + vary)
    return np.where(np.isfinite(cycles), wait, np.inf)


def _finite(days: float) -> float | None:
    return float(days) if math.isfinite(days) else None
