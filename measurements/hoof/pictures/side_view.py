"""A foot from the side: the angles of toe, heel and pastern and two lengths.

Angles stand between a wall and the line on which toe and heel stand, the toe pointing to either
side. The toe's points lie in the middle plane of the foot; those of the heel in front of it by about
half the width of the heels, which turns the ground line on a picture taken from above.
Lengths are straight from the hairline to the ground point.

Decided 2026-11: depth, card and camera are drawn from what is known of them beforehand and every
draw is reckoned through (Monte Carlo), because the error of an angle depends on the whole
geometry found; first-order formulae missed the cases that matter, turned far or seen square on.
Draws that fit the ground (`standing`) and the walls (`hands`) count for more; with that, an interval
is what holds 95 of 100 of them, not 1.96 SD: the errors of lengths are no bell curve. Not taken: the
toe's ground point as a third point of its straight wall, which would halve a tap's error on made-up
feet and be wrong on flared ones.
"""

import math
from collections.abc import Callable, Mapping

import numpy as np

from measurements.hoof.pictures.draws import DRAWS, even_draws, normal_draws
from measurements.hoof.pictures.hands import UNSTEADY, steady_part
from measurements.hoof.pictures.measured import (
    TAP_PX,
    Card,
    Floats,
    Measured,
    Point,
    Refused,
    Results,
    UnusablePicture,
    checked,
    missing,
    positive,
    refused_all,
)
from measurements.hoof.pictures.side_checks import (
    card_trouble,
    points_trouble,
    turned_trouble,
    value_trouble,
)
from measurements.hoof.pictures.sightings import (
    Sightings,
    by_card,
    by_eye,
    card_cameras,
    picture_middle,
    tapped,
)
from measurements.hoof.pictures.standing import Ground, fitting, foot_of_face_mm
from measurements.hoof.pictures.values import (
    dot,
    length_mm,
    slope_deg,
    summed_up,
    unit_vectors,
    upward,
)
from measurements.hoof.quantities import BaseUnit

GROUND = ("ground_toe", "ground_heel")
NAMES = (
    *GROUND,
    *("toe_low", "toe_hairline", "heel_low", "heel_hairline", "pastern_low", "pastern_high"),
)
NEEDED = {
    "toe_angle": (*GROUND, "toe_low", "toe_hairline"),
    "heel_angle": (*GROUND, "heel_low", "heel_hairline"),
    "pastern_angle": (*GROUND, "pastern_low", "pastern_high"),
    "toe_length": (*GROUND, "toe_hairline"),
    "heel_length": (*GROUND, "heel_hairline"),
}
LENGTHS = ("toe_length", "heel_length")

# How far the heel wall stands in front of the middle plane, as a share of the ground it stands on:
# mean and SD. Heels 55 to 75 mm apart on 110 to 135 mm of ground, from memory.
HEEL_NEARER_SHARE, HEEL_NEARER_SD = 0.265, 0.047
# One foot in so many is of any breadth. House default.
UNUSUAL_EVERY, UNUSUAL_SHARES = 12, (0.0, 0.45)
# How far single points lie from the plane they are taken to lie in, SD. House defaults; those of the
# heel are wide on purpose: where heel walls slant more than was thought an interval that is too
# narrow misleads, where they slant less it is a little wide.
TOE_DEPTH_MM_SD = 0.3
HEEL_DEPTH_MM_SD = 0.7
HEEL_HAIRLINE_DEPTH_MM_SD = 1.5  # the heel wall slants outwards or inwards as it rises
PASTERN_NEARER_MM, PASTERN_NEARER_MM_SD = 15.0, 9.0  # the edge seen, in front of the middle
PASTERN_DEPTH_MM_SD = 2.0
USUAL_GROUND_MM = 120.0  # of an ordinary foot, where nothing tells the size; from memory


def measure_side(
    points: Mapping[str, Point],
    *,
    card: Card | None = None,
    size_px: tuple[float, float] | None = None,
    tap_px: float = TAP_PX,
    tap_known: bool = False,
    card_off_mm_sd: float | None = None,
    focal_px: float | None = None,
) -> Results:
    """What the points on a picture from the side say, with or without the card.

    `points`: [x, y] px, y down, by the names in `NAMES`; those of a quantity may be wanting.
    `size_px`: width and height of the uncut picture, upright (`None`: cut, or not known).
    `tap_px` (> 0): SD of a steady tap along each axis; `tap_known`: of this very hand.
    `card_off_mm_sd` (>= 0): how far the card may stand from the plane of the foot's middle, SD;
    `None`: nobody said, and the picture tells what it can. `focal_px` (> 0): from its own data.
    Returns toe_angle, heel_angle, pastern_angle (deg), toe_length, heel_length (mm): a value or a
    refusal; without a card lengths are refused. Raises `UnusablePicture` for what is no point,
    size or error at all. Priors: sources beside the constants.
    """
    checked(points.values())
    for size in (tap_px, *(size_px or ()), *(() if focal_px is None else (focal_px,))):
        positive(size, "size or error of the picture")
    placed = {name: points[name] for name in NAMES if name in points}
    trouble = points_trouble(placed)
    if trouble is None and card is not None:
        trouble = card_trouble(card)
    if trouble is not None:
        return refused_all(NEEDED, trouble)
    names = tuple(placed)
    hands, weights = _hands(placed, tap_px, tap_known)
    seen = tapped(placed, names, hands)
    if card is None:
        sightings, ground_mm = _by_eye(placed, seen, size_px, focal_px), USUAL_GROUND_MM
    else:
        try:
            cameras = card_cameras(card, placed, size_px, focal_px)
        except UnusablePicture as error:
            return refused_all(NEEDED, str(error))
        trouble = turned_trouble(cameras, [placed[name] for name in GROUND])
        if trouble is not None:
            return refused_all(NEEDED, trouble)
        sightings = by_card(cameras, seen, card, card_off_mm_sd)
        ground_mm = _ground_mm(sightings, names)
    places = sightings.at(_nearer(names, ground_mm))
    foot = {name: places[:, place] for place, name in enumerate(names)}
    weights = weights * sightings.weights
    if card is not None:
        weights = weights * fitting(_ground(foot, sightings, card))
    return {
        quantity: _measured(quantity, placed, foot, weights, card is not None)
        for quantity in NEEDED
    }


def _hands(placed: Mapping[str, Point], tap_px: float, tap_known: bool) -> tuple[Floats, Floats]:
    """The error of the taps in each draw, and how likely it is (DRAWS,)."""
    if tap_known:
        return np.full(DRAWS, tap_px), np.ones(DRAWS)
    steady = np.arange(DRAWS) % 2 == 0
    part = steady_part(placed, tap_px)
    hands = np.where(steady, 1.0, UNSTEADY) * tap_px
    return hands, np.where(steady, part, 1 - part)


def _ground(foot: Mapping[str, Floats], sightings: Sightings, card: Card) -> Ground:
    assert sightings.card_turn is not None
    down = sightings.card_turn[:, :2, 1] * sightings.stretch[:, None]
    return Ground(foot["ground_toe"], foot["ground_heel"], down * foot_of_face_mm(card))


def _by_eye(
    placed: Mapping[str, Point],
    seen: Floats,
    size_px: tuple[float, float] | None,
    focal_px: float | None,
) -> Sightings:
    toe, heel = np.array(placed["ground_toe"]), np.array(placed["ground_heel"])
    left, right = (toe, heel) if toe[0] < heel[0] else (heel, toe)
    along = right - left
    upright = math.atan2(along[1], along[0])
    scale = float(np.hypot(*along)) / USUAL_GROUND_MM
    return by_eye(seen, picture_middle(placed, size_px), scale, upright, focal_px)


def _ground_mm(sightings: Sightings, names: tuple[str, ...]) -> float:
    flat = sightings.at(np.zeros((DRAWS, len(names))))
    toe, heel = flat[:, names.index("ground_toe")], flat[:, names.index("ground_heel")]
    return float(length_mm(toe, heel).mean())


def _nearer(names: tuple[str, ...], ground_mm: float) -> Floats:
    """How far in front of the middle plane each point may lie, (DRAWS, k), mm."""
    errors = normal_draws(2 + len(NAMES), "depth")
    usual = HEEL_NEARER_SHARE + HEEL_NEARER_SD * errors[:, 0]
    any_foot = UNUSUAL_SHARES[0] + (UNUSUAL_SHARES[1] - UNUSUAL_SHARES[0]) * (
        0.5 + 0.5 * even_draws(1, "heel")[:, 0]
    )
    unusual = np.arange(DRAWS // 2) // 6 % UNUSUAL_EVERY == 0
    heel = ground_mm * np.where(np.tile(unusual, 2), any_foot, usual)
    pastern = PASTERN_NEARER_MM + PASTERN_NEARER_MM_SD * errors[:, 1]
    nearer = np.empty((DRAWS, len(names)))
    for column, name in enumerate(names):
        own = errors[:, 2 + NAMES.index(name)]
        if "heel" in name:
            high = name == "heel_hairline"
            depth_sd = HEEL_HAIRLINE_DEPTH_MM_SD if high else HEEL_DEPTH_MM_SD
            nearer[:, column] = heel + depth_sd * own
        elif "pastern" in name:
            nearer[:, column] = pastern + PASTERN_DEPTH_MM_SD * own
        else:
            nearer[:, column] = TOE_DEPTH_MM_SD * own
    return nearer


def _measured(
    quantity: str,
    placed: Mapping[str, Point],
    foot: Mapping[str, Floats],
    weights: Floats,
    scaled: bool,
) -> Measured | Refused:
    wanting = missing(placed, NEEDED[quantity])
    if wanting:
        return wanting
    if quantity in LENGTHS and not scaled:
        return Refused("Without the card the picture has no scale.")
    unit: BaseUnit = "mm" if quantity in LENGTHS else "deg"
    return value_trouble(quantity, summed_up(_ANSWERS[quantity](foot), unit, weights))


def _wall(low: str, high: str) -> Callable[[Mapping[str, Floats]], Floats]:
    """The angle of a wall to the ground line, leaning back as it rises."""

    def angle(foot: Mapping[str, Floats]) -> Floats:
        back = unit_vectors(foot["ground_heel"] - foot["ground_toe"])
        wall = foot[high] - foot[low]
        return slope_deg(dot(wall, back), dot(wall, upward(back)))

    return angle


def _span(low: str, high: str) -> Callable[[Mapping[str, Floats]], Floats]:
    def length(foot: Mapping[str, Floats]) -> Floats:
        return length_mm(foot[low], foot[high])

    return length


_ANSWERS = {
    "toe_angle": _wall("toe_low", "toe_hairline"),
    "heel_angle": _wall("heel_low", "heel_hairline"),
    "pastern_angle": _wall("pastern_low", "pastern_high"),
    "toe_length": _span("ground_toe", "toe_hairline"),
    "heel_length": _span("ground_heel", "heel_hairline"),
}
