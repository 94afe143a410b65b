"""The feet from the side on paper: all four to one scale, so that they compare. Pure."""

import math
from collections.abc import Sequence
from dataclasses import replace

from caseboard.sheets.plan_value import SheetFoot

PX_A_MM = 96 / 25.4  # CSS: 96 px are an inch
UNITS_A_MM = 2  # of a drawing's width and height, as `draw_side` makes it
# What caseboard/static/css/sheet.css leaves for one of them, in mm: width and height.
SMALL_MM, LARGE_MM = (24.5, 21.0), (44.0, 36.0)


def sides_fitted(feet: Sequence[SheetFoot], *, large: bool) -> tuple[tuple[SheetFoot, ...], str]:
    """The feet with their drawings as large as the place allows, and the scale: "5.2" is 1 to 5.2."""
    width_mm, height_mm = LARGE_MM if large else SMALL_MM
    sides = [foot.side for foot in feet if foot.side]
    if not sides:
        return tuple(feet), ""
    least = max(max(s.width / width_mm, s.height / height_mm) for s in sides) / UNITS_A_MM
    scale = math.ceil(least * 10) / 10
    px = PX_A_MM / UNITS_A_MM / scale
    made = [
        replace(
            f,
            side=replace(f.side, width=round(f.side.width * px), height=round(f.side.height * px)),
        )
        if f.side
        else f
        for f in feet
    ]
    return tuple(made), f"{scale:g}"


def without_sides(feet: Sequence[SheetFoot]) -> tuple[SheetFoot, ...]:
    return tuple(replace(foot, side=None, side_words="") for foot in feet)
