"""A foot on a film, from the side or the front, with a marker of known length beside it: mm and deg.

A film shows shadows, larger than what throws them. The marker gives the scale for its own place in
the beam; off the plane of the foot's middle it is wrong by about 1 % a centimetre (Klever, VCOT
2022;35:10). Pixels of the detector say nothing of that, so a marker is always asked for; angles
need none. A foot not taken square on shows less rotation than there is, visibly so beyond 10
degrees (Koblik, JAVMA 1988;192:346): no point tells that, and no error here holds it.
"""

import math
from collections.abc import Mapping

import numpy as np

from measurements.hoof.pictures.draws import DRAWS, normal_draws
from measurements.hoof.pictures.measured import (
    Floats,
    Measured,
    Point,
    Refused,
    Results,
    checked,
    missing,
    positive,
    refused_all,
)
from measurements.hoof.pictures.values import dot, slope_deg, summed_up, unit_vectors, upward

MARKER = ("marker_start", "marker_end")
GROUND = ("ground_toe", "ground_heel")
WALL = ("wall_high", "wall_low")
BONE = ("bone_high", "bone_low")
SIDE_NAMES = (
    *(*MARKER, *GROUND, *WALL, *BONE),
    *("bone_tip", "bone_heel", "sole_under_tip", "extensor", "hairline", "breakover"),
)
SIDE_NEEDED = {
    # The lower border of the coffin bone to the ground, rising to the heel.
    "palmar_angle": (*GROUND, "bone_tip", "bone_heel"),
    "sole_depth": ("bone_tip", "sole_under_tip", *GROUND),
    "wall_to_bone_high": (*BONE, "wall_high"),
    "wall_to_bone_low": (*BONE, "wall_low"),
    # Of the extensor process under the hairline, at right angles to the ground.
    "extensor_below_hairline": (*GROUND, "extensor", "hairline"),
    "tip_to_breakover": (*GROUND, "bone_tip", "breakover"),
    # How much steeper the bone's front is than the wall: more than 0, they part towards the toe.
    "capsule_against_bone": (*GROUND, *WALL, *BONE),
}
SIDES = ("ground_inside", "ground_outside")
FRONT_NAMES = (*(*MARKER, *SIDES, "bone_inside", "bone_outside", "joint_inside", "joint_outside"),)
FRONT_NEEDED = {
    "inside_depth": (*SIDES, "bone_inside"),
    "outside_depth": (*SIDES, "bone_outside"),
    # The joint's line to the ground: more than 0, the inside is higher.
    "joint_line": (*SIDES, "joint_inside", "joint_outside"),
}
ANGLES = frozenset({"palmar_angle", "capsule_against_bone", "joint_line"})

# Where two people see the edge of a bone or of the horn, mm along each axis. House default.
EDGE_SD_MM = 0.5
# A marker about a centimetre off the plane of the foot's middle; 1 % each (source above).
SCALE_SD_SHARE = 0.01
# Of an angle to the ground: the foot's stance and the beam's direction; house default.
GROUND_SD_DEG = 0.7
SHORTEST_MARKER_PX = 40.0
SHORTEST_MARKER_MM, LONGEST_MARKER_MM = 5.0, 400.0
USUAL_EXTENT_MM = 150.0  # of all points, where no marker tells; house default


def measure_film_side(
    points: Mapping[str, Point], *, marker_mm: float | None, tap_px: float = 2.0
) -> Results:
    """What the points on a film from the side say.

    `points`: [x, y] px by the names in `SIDE_NAMES`. `marker_mm` (> 0): length of the marker between
    marker_start and marker_end; `None`: lengths are refused. `tap_px` (> 0): SD of a point.
    Returns every quantity of `SIDE_NEEDED` as a value or a refusal. Raises `UnusablePicture`.
    """
    return _film(points, SIDE_NAMES, SIDE_NEEDED, GROUND, marker_mm, tap_px)


def measure_film_front(
    points: Mapping[str, Point], *, marker_mm: float | None, tap_px: float = 2.0
) -> Results:
    """What the points on a film from the front say: as `measure_film_side`, `FRONT_NEEDED`."""
    return _film(points, FRONT_NAMES, FRONT_NEEDED, SIDES, marker_mm, tap_px)


def _film(
    points: Mapping[str, Point],
    names: tuple[str, ...],
    needed: Mapping[str, tuple[str, ...]],
    ground: tuple[str, str],
    marker_mm: float | None,
    tap_px: float,
) -> Results:
    checked(points.values())
    positive(tap_px, "error of a point")
    placed = {name: points[name] for name in names if name in points}
    trouble = _marker_trouble(placed, marker_mm)
    if trouble:
        return refused_all(needed, trouble)
    scale = _mm_per_px(placed, marker_mm)
    places = _places(placed, tap_px, scale, marker_mm is not None)
    return {
        quantity: _one(quantity, needed, placed, places, ground, marker_mm) for quantity in needed
    }


def _marker_trouble(placed: Mapping[str, Point], marker_mm: float | None) -> str | None:
    if marker_mm is None:
        return None
    positive(marker_mm, "length of the marker")
    if not SHORTEST_MARKER_MM <= marker_mm <= LONGEST_MARKER_MM:
        return "No marker has such a length. Check the millimetres typed."
    if not set(MARKER) <= placed.keys():
        return "Both ends of the marker are needed."
    if math.dist(placed[MARKER[0]], placed[MARKER[1]]) < SHORTEST_MARKER_PX:
        return "The marker is too short on the picture to give the scale."
    return None


def _mm_per_px(placed: Mapping[str, Point], marker_mm: float | None) -> float:
    if marker_mm is not None:
        return marker_mm / math.dist(placed[MARKER[0]], placed[MARKER[1]])
    # Only for the size of errors in mm where angles are asked for.
    extent = float(np.ptp(np.array(list(placed.values())), axis=0).max()) if placed else 1.0
    return USUAL_EXTENT_MM / max(extent, 1.0)


def _places(
    placed: Mapping[str, Point], tap_px: float, scale: float, marked: bool
) -> dict[str, Floats]:
    """Where each point may be (DRAWS, 2), mm, right and down."""
    errors = normal_draws(2 * len(placed) + 1, "film")
    stretch = np.ones(DRAWS)
    if marked:
        length_px = math.dist(placed[MARKER[0]], placed[MARKER[1]])
        share = math.hypot(SCALE_SD_SHARE, math.sqrt(2.0) * tap_px / length_px)
        stretch = 1 + share * errors[:, -1]
    sd_mm = math.hypot(tap_px * scale, EDGE_SD_MM)
    places = {}
    for number, (name, point) in enumerate(placed.items()):
        own = np.array(point) * scale + sd_mm * errors[:, 2 * number : 2 * number + 2]
        places[name] = own * stretch[:, None]
    return places


def _one(
    quantity: str,
    needed: Mapping[str, tuple[str, ...]],
    placed: Mapping[str, Point],
    places: Mapping[str, Floats],
    ground: tuple[str, str],
    marker_mm: float | None,
) -> Measured | Refused:
    wanting = missing(placed, needed[quantity])
    if wanting:
        return wanting
    if quantity not in ANGLES and marker_mm is None:
        return Refused("Without a marker of known length the film has no scale.")
    if any(
        math.dist(placed[one], placed[other]) < 3.0
        for one, other in (ground, BONE, WALL)
        if {one, other} <= set(needed[quantity])
    ):
        return Refused("Two points of one line lie on the same spot.")
    return _ANSWERS[quantity](places)


def _angle_to(
    places: Mapping[str, Floats], ground: tuple[str, str], first: str, second: str, sd_deg: float
) -> Floats:
    """How a line rises on its way, against the ground on its way, deg (DRAWS,)."""
    along = unit_vectors(places[ground[1]] - places[ground[0]])
    line = places[second] - places[first]
    error = sd_deg * normal_draws(1, "stance")[:, 0]
    return slope_deg(dot(line, along), dot(line, upward(along))) + error


def _palmar(places: Mapping[str, Floats]) -> Measured | Refused:
    return summed_up(_angle_to(places, GROUND, "bone_tip", "bone_heel", GROUND_SD_DEG), "deg")


def _rotation(places: Mapping[str, Floats]) -> Measured | Refused:
    bone = _angle_to(places, GROUND, "bone_low", "bone_high", 0.0)
    wall = _angle_to(places, GROUND, "wall_low", "wall_high", 0.0)
    return summed_up(bone - wall, "deg")


def _joint(places: Mapping[str, Floats]) -> Measured | Refused:
    # From outside to inside it rises when the inside is higher.
    return summed_up(
        _angle_to(places, SIDES[::-1], "joint_outside", "joint_inside", GROUND_SD_DEG), "deg"
    )


def _up_from(places: Mapping[str, Floats], ground: tuple[str, str], low: str, high: str) -> Floats:
    along = unit_vectors(places[ground[1]] - places[ground[0]])
    return dot(places[high] - places[low], upward(along))


def _sole(places: Mapping[str, Floats]) -> Measured | Refused:
    depth = _up_from(places, GROUND, "sole_under_tip", "bone_tip")
    if depth.mean() < 0:
        return Refused("The sole is placed above the tip of the bone.")
    return summed_up(depth, "mm")


def _extensor(places: Mapping[str, Floats]) -> Measured | Refused:
    return summed_up(_up_from(places, GROUND, "extensor", "hairline"), "mm")


def _breakover(places: Mapping[str, Floats]) -> Measured | Refused:
    forward = unit_vectors(places["ground_toe"] - places["ground_heel"])
    return summed_up(dot(places["breakover"] - places["bone_tip"], forward), "mm")


def _from_bone(places: Mapping[str, Floats], wall: str) -> Measured | Refused:
    """Distance of a point of the wall from the line of the bone's front."""
    along = unit_vectors(places["bone_high"] - places["bone_low"])
    off = places[wall] - places["bone_low"]
    return summed_up(np.abs(off[:, 0] * along[:, 1] - off[:, 1] * along[:, 0]), "mm")


def _depth(places: Mapping[str, Floats], side: str) -> Measured | Refused:
    return summed_up(_up_from(places, SIDES, f"ground_{side}", f"bone_{side}"), "mm")


_ANSWERS = {
    "palmar_angle": _palmar,
    "sole_depth": _sole,
    "wall_to_bone_high": lambda places: _from_bone(places, "wall_high"),
    "wall_to_bone_low": lambda places: _from_bone(places, "wall_low"),
    "extensor_below_hairline": _extensor,
    "tip_to_breakover": _breakover,
    "capsule_against_bone": _rotation,
    "inside_depth": lambda places: _depth(places, "inside"),
    "outside_depth": lambda places: _depth(places, "outside"),
    "joint_line": _joint,
}
