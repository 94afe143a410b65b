"""The feet from the side on paper: all four to one scale, so that they compare. Pure."""

import math
from collections.abc import Sequence
from dataclasses import replace

from caseboard.sheets.plan_value import SheetFoot
from measurements.charts.side_view import SideDrawn

PX_A_MM = 96 / 25.4  # CSS: 96 px are an inch
# What caseboard/static/css/sheet.css leaves for one of them, in mm: width and height.
SMALL_MM, LARGE_MM = (24.5, 21.0), (44.0, 36.0)


def sides_fitted(feet: Sequence[SheetFoot], *, large: bool) -> tuple[tuple[SheetFoot, ...], str]:
    """The feet with their drawings as large as the place allows, and the scale: "5.2" is 1 to 5.2."""
    width_mm, height_mm = LARGE_MM if large else SMALL_MM
    sizes = [_foot_mm(foot.side) for foot in feet if foot.side]
    if not sizes:
        return tuple(feet), ""
    least = max(max(width / width_mm, height / height_mm) for width, height in sizes)
    scale = math.ceil(least * 10) / 10
    return tuple(_drawn_at(foot, scale) for foot in feet), f"{scale:g}"


def _foot_mm(side: SideDrawn) -> tuple[float, float]:
    """What the drawing shows of the foot, in mm: units of the drawing are mm of the foot."""
    _, _, width, height = side.view_box.split()
    return float(width), float(height)


def _drawn_at(foot: SheetFoot, scale: float) -> SheetFoot:
    if foot.side is None:
        return foot
    width, height = (round(size * PX_A_MM / scale) for size in _foot_mm(foot.side))
    return replace(foot, side=replace(foot.side, width=width, height=height))


def without_sides(feet: Sequence[SheetFoot]) -> tuple[SheetFoot, ...]:
    return tuple(replace(foot, side=None, side_words="") for foot in feet)
