"""What the ground tells of depth: a card that stands on it gives away the plane that the hoof stands on.

Seen from above, what stands nearer stands lower on the picture. The toe's ground point and the foot
of a standing card lie on one ground: how far the one is seen below the other says how far the card is
off the foot's middle plane; the heel's ground point says the same of the heel. A camera at the height
of the ground sees none of it. Whether the card stands or is held is not known, nor on what: each
is weighed by how well the picture fits.
"""

import math
from dataclasses import dataclass

import numpy as np

from measurements.hoof.pictures.card_face import (
    FACE_HEIGHT_MM,
    FACE_WIDTH_MM,
    SIDE_MM,
    SQUARE_LEFT_MM,
    SQUARE_TOP_MM,
)
from measurements.hoof.pictures.homography import top_left
from measurements.hoof.pictures.measured import Card, Floats

# How likely a card stands on the foot of its face; upright on something else, or cut off or folded
# elsewhere; or is held, anyhow. House defaults. Likelier to stand makes a standing one's figures
# better by little and a held one's worse: it is then taken to be as far off as its height says
# (tests/bench/pictures/side.py, "stands" and "held").
STANDS, UPRIGHT, HELD = 0.4, 0.06, 0.54
# How uneven the ground is under each, and how a standing card leans sideways, SD. House defaults.
UNEVEN_MM_SD = 0.35
ROLLED_RAD_SD = math.radians(0.3)
# Of one held anyhow: so far up and down, and so much askew, all alike likely. House defaults.
HEIGHTS_MM, ASKEW_RAD = 60.0, math.radians(12.0)
# White beside the square by the edge it may stand on, from the lower one on, clockwise, mm.
_BESIDE_MM = (
    FACE_HEIGHT_MM - SQUARE_TOP_MM - SIDE_MM,
    SQUARE_LEFT_MM,
    SQUARE_TOP_MM,
    FACE_WIDTH_MM - SQUARE_LEFT_MM - SIDE_MM,
)


def foot_of_face_mm(card: Card) -> float:
    """How far below the square's middle the face ends, on whichever edge it stands."""
    return card.side_mm * (0.5 + _BESIDE_MM[top_left(card)] / SIDE_MM)


@dataclass(frozen=True)
class Ground:
    """Where the ground is seen on the foot's middle plane, right and down, mm: `toe`, `heel` (n, 2) and
    the foot of the card's face, `card` (n, 2)."""

    toe: Floats
    heel: Floats
    card: Floats


def fitting(ground: Ground) -> Floats:
    """How well each draw (n,) fits a card that stands, or one held: weights, not summing to one."""
    along, falls = (ground.heel - ground.toe).T
    askew = 2 * UNEVEN_MM_SD**2 + ROLLED_RAD_SD**2 * along**2
    upright = np.exp(-0.5 * falls**2 / askew) / np.sqrt(2 * math.pi * askew)
    held = 1 / (ASKEW_RAD * np.abs(along))
    return np.asarray(
        STANDS * _standing(ground.toe - ground.card, ground.heel - ground.card)
        + (UPRIGHT * upright + HELD * held) / HEIGHTS_MM
    )


def _standing(toe: Floats, heel: Floats) -> Floats:
    """The density (n,) of ground points so far from the edge that the card stands on, per mm twice."""
    (x, low), (far, far_low) = toe.T, heel.T
    uneven, rolled = UNEVEN_MM_SD**2, ROLLED_RAD_SD**2
    one, both, two = uneven + rolled * x**2, rolled * x * far, uneven + rolled * far**2
    room = one * two - both**2
    off = (two * low**2 - 2 * both * low * far_low + one * far_low**2) / room
    return np.asarray(np.exp(-0.5 * off) / (2 * math.pi * np.sqrt(room)))
