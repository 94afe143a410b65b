"""When a picture from the side cannot serve, and why, in words."""

import math
from collections.abc import Mapping, Sequence

import numpy as np

from measurements.hoof.pictures.camera_pose import Cameras
from measurements.hoof.pictures.homography import is_convex
from measurements.hoof.pictures.measured import Card, Measured, Point, Refused
from measurements.hoof.quantities import QUANTITIES

# House defaults, all of them.
SMALLEST_CARD_PX = 40.0  # of its shortest side: then a corner is more than 1 % of it off
SMALLEST_CARD_MM, LARGEST_CARD_MM = 20.0, 300.0
MOST_TURNED_DEG = 38.0  # 25 must still be corrected; from here on depth is most of what is seen
SMALLEST_GROUND_PX = 60.0
MOST_ROLLED_DEG = 45.0


def card_trouble(card: Card) -> str | None:
    """Why this card cannot serve."""
    if not (math.isfinite(card.side_mm) and SMALLEST_CARD_MM <= card.side_mm <= LARGEST_CARD_MM):
        return (
            f"A card's square has a side of {SMALLEST_CARD_MM:.0f} to {LARGEST_CARD_MM:.0f} mm. "
            "Check the size typed."
        )
    corners = np.array(card.corners, dtype=np.float64)
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    if not is_convex(corners):
        return "The card's corners do not go round in order."
    if sides.min() < SMALLEST_CARD_PX:
        return "The card is too small on the picture. Go nearer, or zoom in."
    return None


def turned_trouble(cameras: Cameras, base: Sequence[Point]) -> str | None:
    """Why a picture from there cannot serve: the foot is seen too much from one side."""
    middle = np.mean(base, axis=0)
    if cameras.turned_deg((float(middle[0]), float(middle[1]))) > MOST_TURNED_DEG:
        return (
            "The picture is taken too much from one side to be corrected. Stand straight beside "
            "the foot and take it again."
        )
    return None


def points_trouble(points: Mapping[str, Point]) -> str | None:
    """Why these points contradict each other."""
    if not {"ground_toe", "ground_heel"} <= points.keys():
        return "The points on the ground under toe and heel are needed."
    toe, heel = np.array(points["ground_toe"]), np.array(points["ground_heel"])
    along = heel - toe
    if np.hypot(*along) < SMALLEST_GROUND_PX:
        return "The foot is too small on the picture. Go nearer, or zoom in."
    if math.degrees(math.atan2(abs(along[1]), abs(along[0]))) > MOST_ROLLED_DEG:
        return "The ground runs too steeply across the picture. Turn the picture upright."
    back = along / np.hypot(*along)
    up = np.array([back[1], -back[0]]) * (1.0 if back[0] > 0 else -1.0)
    for low, high, part in (
        ("toe_low", "toe_hairline", "toe wall"),
        ("ground_toe", "toe_hairline", "toe wall"),
        ("heel_low", "heel_hairline", "heel wall"),
        ("ground_heel", "heel_hairline", "heel wall"),
        ("pastern_low", "pastern_high", "pastern"),
    ):
        if {low, high} <= points.keys():
            rise = float((np.array(points[high]) - np.array(points[low])) @ up)
            if rise <= 0:
                return f"The {part} runs downwards: its points are placed the wrong way round."
    hairlines = {"toe_hairline", "heel_hairline"}
    if hairlines <= points.keys():
        across = np.array(points["heel_hairline"]) - np.array(points["toe_hairline"])
        if across @ back <= 0:
            return "Toe and heel are placed the wrong way round."
    return None


def value_trouble(quantity: str, answer: Measured | Refused) -> Measured | Refused:
    """The answer, unless no foot looks like that."""
    of = QUANTITIES["heel_length_lateral" if quantity == "heel_length" else quantity]
    if isinstance(answer, Measured) and not of.possible_low <= answer.value <= of.possible_high:
        return Refused(
            f"No foot has such a {quantity.replace('_', ' ')}. Check the points, and the size of "
            "the card."
        )
    return answer
