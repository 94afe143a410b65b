"""From many equally likely answers to one value with its error."""

import numpy as np

from measurements.hoof.pictures.measured import Floats, Measured, Refused
from measurements.hoof.quantities import BaseUnit

# Wider than this a value says nothing that an eye does not see. House defaults.
WIDEST_DEG = 6.0
WIDEST_MM = 12.0


def summed_up(answers: Floats, unit: BaseUnit) -> Measured | Refused:
    """The mean of the answers (n,) with their SD; refused when they say too little."""
    with np.errstate(all="ignore"):
        value, sd = float(answers.mean()), float(answers.std())
    if not (np.isfinite(value) and sd <= (WIDEST_DEG if unit == "deg" else WIDEST_MM)):
        return Refused("The points lie too close together on the picture to measure this.")
    return Measured(value, unit, sd)


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
