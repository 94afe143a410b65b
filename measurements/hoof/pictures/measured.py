"""What goes into a measuring by picture and what comes out: points, a card, values, refusals."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Z_95_TWO_SIDED, BaseUnit

Floats = NDArray[np.float64]
# [x, y] in pixels of the kept picture, from its top left corner, y down.
Point = tuple[float, float]

# How far a tap of a steady hand lies from where the same person would put it again, SD along each axis,
# px of a kept picture (long edge about 2,400). House default, until a person's own repeats tell;
# how likely an unsteady one is meanwhile: `hands`.
TAP_PX = 2.0
# A card put down by eye stands about so far from the plane of the foot's middle. House default. One
# that stands 40 mm off turns no angle and makes lengths 4 to 5 % wrong at arm's length. Where nobody
# says so, the ground it stands on may tell (`standing`); of a card held in the hand, or seen from the
# height of the ground, nothing does, and a share of them is taken to be far off (`sightings`).
CARD_OFF_MM = 9.0
CARD_OFF_SD_SHARE = 0.7  # its SD: between that of all places alike (.58) and of the ends alone (1)


def card_off_sd_mm(off_mm: float) -> float:
    """SD (mm) of the place of a card that stands up to about so far (>= 0) from the plane, either way."""
    return CARD_OFF_SD_SHARE * off_mm


CARD_OFF_MM_SD = card_off_sd_mm(CARD_OFF_MM)
# Somebody who says by how much the card stood off says it by eye: SD, a share of it. House default.
TOLD_OFF_SD_SHARE = 0.25
# The corners of a card that is not found by itself are tapped as any other point is, under the same
# glass; but what is dirty or folded hides where its edge would run. House default.
CORNER_BY_HAND_OF_TAP = 1.25


def corner_by_hand_px(tap_px: float) -> float:
    """SD (px, along each axis) of a card's corner placed by somebody whose taps have this SD (> 0)."""
    return CORNER_BY_HAND_OF_TAP * tap_px


class UnusablePicture(HoofError):
    """The picture cannot serve at all; its message says why in words for the screen."""


@dataclass(frozen=True)
class Card:
    """The printed card as found in a picture.

    `corners`: the corners of its square in px, as printed: top left, top right, bottom right,
    bottom left. `side_mm`: its side as printed (> 0). `side_sd_share`: SD of that size as a share
    of it. `corner_px`: SD of a found corner along each axis. `nearer_mm`: how much nearer to the
    camera than the foot's middle it was told to stand (< 0: further away). Raises `UnusablePicture`.
    """

    corners: tuple[Point, Point, Point, Point]
    side_mm: float
    # A printer's feed is right to a few in a thousand: from memory; typed sizes to half a
    # millimetre in 60 to 100.
    side_sd_share: float = 0.0025
    # Measured on blurred, dim and compressed pictures: median distance 0.37 px, 90 % under 0.62.
    corner_px: float = 0.3
    nearer_mm: float = 0.0

    @property
    def told_sd_mm(self) -> float:
        """SD of what was told of where it stands, mm."""
        return TOLD_OFF_SD_SHARE * abs(self.nearer_mm)

    def __post_init__(self) -> None:
        if len(self.corners) != 4:
            raise UnusablePicture("A card has four corners.")
        checked(self.corners)
        if not math.isfinite(self.nearer_mm):
            raise UnusablePicture("How far the card stands off must be a number.")


@dataclass(frozen=True)
class Measured:
    """One value off a picture: base unit, error SD (> 0) and the interval that holds in 95 of 100
    such pictures: `half95` to either side, where the errors are not those of a bell curve."""

    value: float
    unit: BaseUnit
    sd: float
    half95: float | None = None

    @property
    def low95(self) -> float:
        """The lower end of the 95 % interval."""
        return self.value - self._half

    @property
    def high95(self) -> float:
        """The upper end of the 95 % interval."""
        return self.value + self._half

    @property
    def _half(self) -> float:
        return Z_95_TWO_SIDED * self.sd if self.half95 is None else self.half95


@dataclass(frozen=True)
class Refused:
    """No value, and the reason in words for the screen."""

    reason: str


Results = dict[str, Measured | Refused]


def checked(points: Iterable[Point]) -> None:
    """Raises `UnusablePicture` for a point that is no place on a picture."""
    for x, y in points:
        if not (math.isfinite(x) and math.isfinite(y) and abs(x) < 1e6 and abs(y) < 1e6):
            raise UnusablePicture("A point is not on the picture.")


def positive(value: float, words: str) -> None:
    """Raises `UnusablePicture` unless the value is a number above zero."""
    if not (math.isfinite(value) and value > 0):
        raise UnusablePicture(f"The {words} must be more than zero.")


def refused_all(quantities: Iterable[str], reason: str) -> Results:
    """Every quantity refused for one reason."""
    return {quantity: Refused(reason) for quantity in quantities}


def missing(points: Mapping[str, Point], names: Iterable[str]) -> Refused | None:
    """A refusal if points are wanting."""
    wanting = [name.replace("_", " ") for name in names if name not in points]
    return Refused(f"Not all points are placed: {', '.join(wanting)}.") if wanting else None
