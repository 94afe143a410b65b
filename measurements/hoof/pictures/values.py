"""From many equally likely answers to one value with its error."""

import math

import numpy as np

from measurements.hoof.pictures.measured import Floats, Measured, Refused
from measurements.hoof.quantities import BaseUnit

# Wider than this a value says nothing that an eye does not see. House defaults.
WIDEST_DEG = 6.0
WIDEST_MM = 12.0


def summed_up(answers: Floats, unit: BaseUnit, weights: Floats | None = None) -> Measured | Refused:
    """The mean of the answers (n,) with their SD and what holds 95 of 100 of them; refused when they
    say too little. `weights` (n,): how much each counts; alike without."""
    share = np.full(len(answers), 1 / len(answers)) if weights is None else weights / weights.sum()
    with np.errstate(all="ignore"):
        value = float(share @ answers)
        off = np.abs(answers - value)
        sd = math.sqrt(float(share @ off**2))
    if not (np.isfinite(value) and sd <= (WIDEST_DEG if unit == "deg" else WIDEST_MM)):
        return Refused("The points lie too close together on the picture to measure this.")
    if weights is None:
        return Measured(value, unit, sd)
    order = np.argsort(off)
    within = int(np.searchsorted(np.cumsum(share[order]), 0.95))
    return Measured(value, unit, sd, float(off[order][min(within, len(off) - 1)]))


def length_mm(start: Floats, end: Floats) -> Floats:
    """Distances (n,) between places (n, 2)."""
    across, down = (end - start).T
    return np.asarray(np.hypot(across, down), dtype=np.float64)


def slope_deg(across: Floats, up: Floats) -> Floats:
    """The angle (n,) of a line to the horizontal from its two parts (n,), deg, -180 to 180."""
    return np.asarray(np.degrees(np.arctan2(up, across)), dtype=np.float64)


def unit_vectors(vectors: Floats) -> Floats:
    """Vectors (n, 2) made one long."""
    return np.asarray(vectors / np.hypot(*vectors.T)[:, None], dtype=np.float64)


def upward(along: Floats) -> Floats:
    """The directions (n, 2) at right angles to lines (n, 2), on the side of the picture's top."""
    side = np.where(along[:, 0] > 0, 1.0, -1.0)[:, None]
    return np.stack([along[:, 1], -along[:, 0]], axis=1) * side


def dot(first: Floats, second: Floats) -> Floats:
    """Products (n,) of vectors (n, 2)."""
    return np.asarray((first * second).sum(axis=1), dtype=np.float64)
