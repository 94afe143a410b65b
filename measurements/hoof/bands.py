"""Where a value stands against a target band, given its measuring error.

Decided 2026-11: a band that can hardly be meant (`band_doubts`) is asked about, and no steps or
planned movement lead to it.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Z_95_TWO_SIDED, BaseUnit, Moment, Quantity, mdc95

# Further than this from its band a foot is not brought there by trimming alone: four visits at the
# preferred 2 deg, the horn of three usual cycles. House defaults; such a band is asked about.
FAR_FROM_LEVEL: dict[BaseUnit, float] = {"deg": 8.0, "mm": 20.0, "kg": math.inf}


class Place(StrEnum):
    """Inside the band, past an edge by less than the error, or outside by more than it."""

    INSIDE = "inside"
    AT_EDGE = "at_edge"
    OUTSIDE = "outside"


@dataclass(frozen=True)
class BandPosition:
    """`past` is how far the value lies beyond the edge (0 inside); `side` names that edge."""

    place: Place
    side: Literal["low", "high"] | None
    past: float


class BandDoubt(StrEnum):
    """Why a band is asked about before it is saved."""

    NARROW = "narrow"  # narrower than two readings of an unchanged foot may differ
    UNUSUAL = "unusual"  # an edge where hardly any horse is
    FAR = "far"  # the foot stands far from it


class BandImpossible(HoofError):
    """A band without edges, or with its low edge above its high one."""


def check_band(low: float | None, high: float | None) -> None:
    """Refuse a band that cannot hold a value; None stands for an open side.

    Raises `BandImpossible`.
    """
    edges = [edge for edge in (low, high) if edge is not None]
    if not edges or not all(math.isfinite(edge) for edge in edges):
        raise BandImpossible("A band needs at least one edge, and edges are numbers.")
    if low is not None and high is not None and low > high:
        raise BandImpossible("The low edge of the band is above its high edge.")


def band_position(value: float, sd: float, low: float | None, high: float | None) -> BandPosition:
    """Whether a value is inside a band, surely outside it, or too near an edge to say.

    `value`, `low`, `high` in one unit, edges included, None for an open side; `sd` (>= 0) is the
    error SD of the value. Outside means past the edge by more than 1.96 SD (the error that 95 %
    of readings stay within; Bland & Altman, Lancet 1986;i:307-310). Raises `BandImpossible`, and
    `HoofError` for a value or SD that is no number.
    """
    check_band(low, high)
    if not math.isfinite(value) or not (math.isfinite(sd) and sd >= 0):
        raise HoofError("A value and its measuring error must be real numbers.")
    if low is not None and value < low:
        return _past(low - value, sd, "low")
    if high is not None and value > high:
        return _past(value - high, sd, "high")
    return BandPosition(Place.INSIDE, None, 0.0)


def band_doubts(
    quantity: Quantity,
    low: float | None,
    high: float | None,
    *,
    moment: Moment = Moment.AFTER_TRIM,
    level: float | None = None,
    grown: float = 0.0,
) -> tuple[BandDoubt, ...]:
    """What is odd about a band; empty for an ordinary one.

    `low`, `high` in the base unit, None for an open side. `level`: where the foot stands just after
    the trim, None when nobody measured it; `grown`: the expected change until the end of the cycle,
    signed. Narrower than the error: than the best method's minimal detectable change, or, for a
    band that is to hold at any time, than what grows. Raises `BandImpossible`.
    """
    check_band(low, high)
    first, last = edges_after_trim(low, high, moment, grown)
    found = []
    if _width(low, high) < least_width(quantity) or _width(first, last) < 0:
        found.append(BandDoubt.NARROW)
    edges = [edge for edge in (low, high) if edge is not None]
    if any(not quantity.plausible_low <= edge <= quantity.plausible_high for edge in edges):
        found.append(BandDoubt.UNUSUAL)
    if level is not None and way_to_band(level, first, last) > FAR_FROM_LEVEL[quantity.unit]:
        found.append(BandDoubt.FAR)
    return tuple(found)


def _width(low: float | None, high: float | None) -> float:
    return math.inf if low is None or high is None else high - low


def least_width(quantity: Quantity) -> float:
    """How much two readings of an unchanged foot may differ, by the best method; base unit."""
    best = min(quantity.error_sd.values())
    return mdc95(best, best)


def way_to_band(level: float, low: float | None, high: float | None) -> float:
    """How far a level is from the nearest edge; 0 inside."""
    return max(0.0 if low is None else low - level, 0.0 if high is None else level - high, 0.0)


def edges_after_trim(
    low: float | None, high: float | None, moment: Moment, grown: float
) -> tuple[float | None, float | None]:
    """The edges as they must be just after the trim for the band to hold at its moment.

    `grown` is the expected change from the trim to the end of the cycle, base unit, signed. A band
    for any time must hold at both ends of the cycle, so growth narrows it; its edges may cross.
    """
    if moment is Moment.END_OF_CYCLE:
        fall = rise = grown
    elif moment is Moment.ANY_TIME:
        fall, rise = min(grown, 0.0), max(grown, 0.0)
    else:
        fall = rise = 0.0
    return None if low is None else low - fall, None if high is None else high - rise


def _past(distance: float, sd: float, side: Literal["low", "high"]) -> BandPosition:
    outside = round(distance, 6) > round(Z_95_TWO_SIDED * sd, 6)
    return BandPosition(Place.OUTSIDE if outside else Place.AT_EDGE, side, distance)
