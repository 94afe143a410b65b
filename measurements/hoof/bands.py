"""Where a value stands against a target band, given its measuring error."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Z_95_TWO_SIDED


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


def _past(distance: float, sd: float, side: Literal["low", "high"]) -> BandPosition:
    outside = round(distance, 6) > round(Z_95_TWO_SIDED * sd, 6)
    return BandPosition(Place.OUTSIDE if outside else Place.AT_EDGE, side, distance)
