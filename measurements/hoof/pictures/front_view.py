"""A foot from the front: the angles of both walls to the ground, and which hairline stands higher.

All points lie about the plane of the foot's widest part, in which the card stands too. Angles are
those inside the hoof between ground and wall: under 90 degrees for a wall that leans in.
"""

from collections.abc import Mapping

import numpy as np

from measurements.hoof.pictures.draws import normal_draws
from measurements.hoof.pictures.flat_view import FlatView
from measurements.hoof.pictures.measured import (
    CARD_OFF_MM_SD,
    TAP_PX,
    Card,
    Floats,
    Measured,
    Point,
    Refused,
    Results,
)
from measurements.hoof.pictures.values import dot, slope_deg, summed_up, unit_vectors, upward

GROUND = ("ground_inside", "ground_outside")
NAMES = (*GROUND, "inside_low", "inside_hairline", "outside_low", "outside_hairline")
NEEDED = {
    "inside_wall_angle": (*GROUND, "inside_low", "inside_hairline"),
    "outside_wall_angle": (*GROUND, "outside_low", "outside_hairline"),
    # Inside hairline above the ground less the outside one: positive, the inside is higher.
    "height_difference": (*GROUND, "inside_hairline", "outside_hairline"),
}
USUAL_GROUND_MM = 120.0  # across an ordinary foot; from memory
# How far a point of the outline lies before or behind the widest part, SD. House default.
DEPTH_MM_SD = 3.0


def measure_front(
    points: Mapping[str, Point],
    *,
    card: Card | None = None,
    size_px: tuple[float, float] | None = None,
    tap_px: float = TAP_PX,
    card_off_mm_sd: float = CARD_OFF_MM_SD,
    focal_px: float | None = None,
) -> Results:
    """What the points on a picture from the front say; arguments as `measure_side`.

    Returns inside_wall_angle, outside_wall_angle (deg) and height_difference (mm; refused without
    a card). Raises `UnusablePicture`.
    """
    view = FlatView(NAMES, NEEDED, GROUND, USUAL_GROUND_MM, lengths=("height_difference",))
    return view.measured(
        points,
        _answer,
        _depth,
        card=card,
        size_px=size_px,
        tap_px=tap_px,
        card_off_mm_sd=card_off_mm_sd,
        focal_px=focal_px,
    )


def _depth(names: tuple[str, ...]) -> Floats:
    columns = [NAMES.index(name) for name in names]
    return DEPTH_MM_SD * normal_draws(len(NAMES), "front depth")[:, columns]


def _answer(quantity: str, foot: Mapping[str, Floats]) -> Measured | Refused:
    across = unit_vectors(foot["ground_outside"] - foot["ground_inside"])
    up = upward(across)
    if quantity == "height_difference":
        heights = [
            dot(foot[f"{side}_hairline"] - foot[f"ground_{side}"], up)
            for side in ("inside", "outside")
        ]
        return summed_up(heights[0] - heights[1], "mm")
    side = "inside" if quantity == "inside_wall_angle" else "outside"
    wall = foot[f"{side}_hairline"] - foot[f"{side}_low"]
    inward = across if side == "inside" else -across
    if np.mean(dot(wall, up)) <= 0:
        return Refused(f"The {side} wall runs downwards: its points are the wrong way round.")
    return summed_up(slope_deg(dot(wall, inward), dot(wall, up)), "deg")
