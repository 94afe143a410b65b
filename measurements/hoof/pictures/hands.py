"""How steady the hand was, when nobody said: what the points themselves tell of it.

A wall is straight: the point low on it lies on the line from the ground to the hairline, or off it by
what the taps were off. Two such points tell a hand of 2 px from one of 4 px now and then, no
better; a wall that bends (a flare) looks like an unsteady hand and is allowed for.

Decided 2026-11: most hands are taken to be steady. Intervals that held 95 of 100 for both alike cannot
be had from two points; as it is a steady hand's hold 95 to 99 and those of an unsteady one that
nobody knows 86 to 92 (tests/bench/pictures/side.py), until its own repeats are there or it is told.
"""

from collections.abc import Mapping

import numpy as np

from measurements.hoof.pictures.measured import Floats, Point

# An unsteady hand, as a multiple of a steady one's error, and how likely each is. House defaults.
UNSTEADY = 2.0
STEADY_PART = 0.8
WALLS = (("ground_toe", "toe_low", "toe_hairline"), ("ground_heel", "heel_low", "heel_hairline"))
# How many walls bend below their straight part, and how far off the line they run there, as a share
# of the wall, SD. House defaults.
BENT_PART = 0.3
BENT_SHARE_SD = 0.03


def steady_part(points: Mapping[str, Point], tap_px: float) -> float:
    """The probability that the taps' error is `tap_px` (SD along each axis) and not UNSTEADY times it."""
    steady, unsteady = STEADY_PART, 1 - STEADY_PART
    for wall in WALLS:
        if set(wall) <= points.keys():
            ground, low, high = (np.array(points[name], dtype=np.float64) for name in wall)
            steady *= _likely(ground, low, high, tap_px)
            unsteady *= _likely(ground, low, high, UNSTEADY * tap_px)
    return steady / (steady + unsteady) if steady + unsteady > 0 else STEADY_PART


def _likely(ground: Floats, low: Floats, high: Floats, tap_px: float) -> float:
    """How likely the low point lies as far off the line as it does."""
    length = float(np.hypot(*(high - ground)))
    if length <= 0:
        return 1.0
    along = (high - ground) / length
    off = float(along[0] * (low - ground)[1] - along[1] * (low - ground)[0])
    share = float((low - ground) @ along) / length
    straight = tap_px**2 * (1 + share**2 + (1 - share) ** 2)
    bent = straight + (BENT_SHARE_SD * length) ** 2
    return (1 - BENT_PART) * _bell(off, straight) + BENT_PART * _bell(off, bent)


def _bell(value: float, variance: float) -> float:
    return float(np.exp(-0.5 * value**2 / variance) / np.sqrt(variance))
