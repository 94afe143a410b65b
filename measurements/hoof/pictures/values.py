"""From many equally likely answers to one value with its error."""

import numpy as np

from measurements.hoof.pictures.measured import Floats, Measured, Refused
from measurements.hoof.quantities import BaseUnit

# Wider than this a value says nothing that an eye does not see. House defaults.
WIDEST_DEG = 6.0
WIDEST_MM = 12.0


def summed_up(answers: Floats, unit: BaseUnit) -> Measured | Refused:
    """The mean of the answers (n,) with their SD; refused when they say too little."""
    value, sd = float(answers.mean()), float(answers.std())
    if not (np.isfinite(value) and sd <= (WIDEST_DEG if unit == "deg" else WIDEST_MM)):
        return Refused("The points lie too close together on the picture to measure this.")
    return Measured(value, unit, sd)


def length_mm(start: Floats, end: Floats) -> Floats:
    """Distances (n,) between places (n, 2)."""
    return np.hypot(*(end - start).T)


def slope_deg(across: Floats, up: Floats) -> Floats:
    """The angle (n,) of a line to the horizontal from its two parts (n,), deg, -180 to 180."""
    return np.degrees(np.arctan2(up, across))
