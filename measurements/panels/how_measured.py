"""How each quantity is taken, in one line for the forms: where it begins and where it ends.

Toe length to the ground, the shoe included, as FEIF's breeding rules (2010) have it; farriers often
take the bare wall instead, and a shoe of 8 mm adds about 10 mm along a wall of 50 degrees (geometry),
so that a reading says whether the shoe was on. The other lines: common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from measurements.hoof.quantities import QUANTITIES

STANCE = (
    "On level hard ground, cannon bone upright, weight on both feet of the pair, the foot clean. "
    "The same way every time: with the shoe on, the ground is under the shoe."
)
HAIRLINE = "The hairline is the lowest skin with hair; wet or part long hair to see it."
HOW = {
    "toe_angle": "gauge flat on the ground surface, its arm on the straight upper part of the wall",
    "heel_angle": "along the horn at the rear of the heel wall, against the ground; not the bulb",
    "pastern_angle": "along the front of the pastern, against the ground, the horse square",
    "toe_length": "down the middle of the front wall, from the hairline to the ground",
    "heel_length_medial": "inside, along the horn tubules, from the hairline to where the heel "
    "last bears weight",
    "heel_length_lateral": "outside, along the horn tubules, from the hairline to where the heel "
    "last bears weight",
    "frog_width": "at its widest, before it is pared",
    "frog_length": "from its point to its back edge, before it is pared",
    "hoof_width": "at its widest, at the ground",
    "hoof_length": "at the ground, from the toe to the line where the two heels last bear weight",
    "coronary_circumference": "tape round the hairline, snug, both ends at the same height",
    "palmar_angle": "on an X-ray picture from the side, the lower edge of the coffin bone against "
    "the ground",
    "sole_depth": "on an X-ray picture, under the tip of the coffin bone, to the ground surface of "
    "the sole",
}


@dataclass(frozen=True)
class HowLine:
    label: str
    words: str


@dataclass(frozen=True)
class HowMeasured:
    lines: list[HowLine]
    stance: str = STANCE
    hairline: str = HAIRLINE


def how_measured(quantities: Iterable[str]) -> HowMeasured:
    """The lines of a form's quantities, in its order."""
    lines = [HowLine(QUANTITIES[key].label.capitalize(), HOW[key]) for key in quantities]
    return HowMeasured(lines)
