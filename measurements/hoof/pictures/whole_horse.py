"""A whole horse from the left: how shoulder, pastern and hoof slope, as three drawn lines.

A coarse observation. Where people see the ends of a shoulder differs more than anything here:
agreement of digitisers on such joint angles was between 0.05 and 0.92 (ICC; Gmel et al., PLoS ONE
2018, 403 photographs), and the stance moves the pastern as much as horses differ (Weller et al.,
Equine Vet J 2006, as quoted). It is no measure of a foot, and no judgement of a horse.
"""

import math
from collections.abc import Mapping

import numpy as np

from measurements.hoof.pictures.draws import DRAWS, even_draws, normal_draws
from measurements.hoof.pictures.measured import (
    TAP_PX,
    Floats,
    Measured,
    Point,
    Refused,
    Results,
    checked,
    missing,
    positive,
)
from measurements.hoof.pictures.values import summed_up

LINES = {
    "shoulder": ("shoulder_low", "shoulder_high"),
    "pastern": ("pastern_low", "pastern_high"),
    "hoof": ("hoof_low", "hoof_high"),
}
GROUND = ("ground_front", "ground_back")
NAMES = (*(name for pair in LINES.values() for name in pair), *GROUND)
NEEDED = {
    "shoulder_slope": LINES["shoulder"],
    "pastern_slope": LINES["pastern"],
    "hoof_slope": LINES["hoof"],
    "shoulder_less_pastern": (*LINES["shoulder"], *LINES["pastern"]),
    "pastern_less_hoof": (*LINES["pastern"], *LINES["hoof"]),
}
# Where two people draw the same line, SD, deg. No figure in degrees was found: house defaults, wide
# for the reasons above.
LINE_SD_DEG = {"shoulder": 4.0, "pastern": 2.5, "hoof": 1.5}
# Limbs stand before and behind the line of the body and the camera is a little turned: this much is
# left in each line, SD, deg. Geometry: 150 mm of depth seen 8 deg from the side on a line of 500.
DEPTH_SD_DEG = {"shoulder": 2.0, "pastern": 0.5, "hoof": 0.5}
TURNED_BY_EYE_RAD = math.radians(12.0)  # either way; house default
LEVEL_SD_DEG = 1.5  # a phone held level by eye, where no ground is marked; house default
LEVEL_MARKED_SD_DEG = 1.0  # ground under two feet is seldom quite level; house default
SHORTEST_LINE_PX = 15.0


def measure_whole_horse(points: Mapping[str, Point], *, tap_px: float = TAP_PX) -> Results:
    """Slopes to the ground of the three lines, and their two differences, all deg.

    `points`: [x, y] px by the names in `NAMES`; the ground points may be wanting. The horse may
    face either way. `tap_px` (> 0): SD of a tap. Returns a value or a refusal each, with an
    error of several degrees. Raises `UnusablePicture`.
    """
    checked(points.values())
    positive(tap_px, "error of a tap")
    slopes = {line: _slopes(points, line, tap_px) for line in LINES}
    return {quantity: _answer(quantity, points, slopes) for quantity in NEEDED}


def _slopes(points: Mapping[str, Point], line: str, tap_px: float) -> Floats | Refused:
    low, high = LINES[line]
    wanting = missing(points, (low, high))
    if wanting:
        return wanting
    rise = np.array(points[high]) - np.array(points[low])
    if np.hypot(*rise) < SHORTEST_LINE_PX:
        return Refused(f"The line of the {line} is too short on the picture.")
    if rise[1] >= 0:
        return Refused(f"The line of the {line} runs downwards: its ends are the wrong way round.")
    column = 3 * list(LINES).index(line)
    errors = normal_draws(9, "lines")[:, column : column + 3]
    apart = rise + math.sqrt(2.0) * tap_px * errors[:, :2]
    # A camera turned from the side shortens what is across.
    across = apart[:, 0] / np.cos(TURNED_BY_EYE_RAD * even_draws(1, "horse turned")[:, 0])
    seen = np.degrees(np.arctan2(-apart[:, 1], np.abs(across)))
    own = math.hypot(LINE_SD_DEG[line], DEPTH_SD_DEG[line]) * errors[:, 2]
    return np.asarray(seen + own, dtype=np.float64)


def _answer(
    quantity: str, points: Mapping[str, Point], slopes: Mapping[str, Floats | Refused]
) -> Measured | Refused:
    if quantity.endswith("_slope"):
        line = quantity.removesuffix("_slope")
        slope = slopes[line]
        if isinstance(slope, Refused):
            return slope
        return summed_up(slope - _level(points, line), "deg")
    first, second = (slopes[line] for line in quantity.split("_less_"))
    if isinstance(first, Refused):
        return first
    return second if isinstance(second, Refused) else summed_up(first - second, "deg")


def _level(points: Mapping[str, Point], line: str) -> Floats:
    """By how much the picture makes this line look steeper because it is not held level, deg."""
    error = normal_draws(1, "level")[:, 0]
    if not set(GROUND) <= points.keys():
        return LEVEL_SD_DEG * error
    front, back = (np.array(points[name]) for name in GROUND)
    # The ground rising towards the front by so much makes a line that leans back look less steep.
    rise = math.degrees(math.atan2(front[1] - back[1], abs(back[0] - front[0]) or 1.0))
    low, high = (np.array(points[name]) for name in LINES[line])
    leans_back = (high[0] - low[0]) * (back[0] - front[0]) >= 0
    level = np.full(DRAWS, rise if leans_back else -rise)
    return level + LEVEL_MARKED_SD_DEG * error
