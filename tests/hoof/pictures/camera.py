"""A camera and feet of our own, in true perspective, to try the mathematics of pictures on.

A world with the foot's middle plane at y = 0, y towards the viewer, z up, x to the toe. It knows
nothing of the code under test: points are projected by a plain pinhole, and the foot is a body.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.pictures.measured import Card, Point

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Cell:
    """One sort of scene. Angles deg, lengths mm; `turned` and `tilted` up to, either way.

    `fill`: share of the picture's long edge that the foot's ground length takes. `toe_part`: share
    of the toe wall between its two points. `card_off`, `card_turned`, `card_leans`, `card_rolled`:
    how the card stands to the foot's middle plane, up to so much either way. `heel_slant_mm`: how
    far the heel's hairline stands out or in from its foot, SD.
    """

    name: str
    distance_mm: tuple[float, float] = (600.0, 1_100.0)
    turned: float = 12.0
    tilted: tuple[float, float] = (-10.0, 10.0)
    long_edge_px: float = 2_400.0
    tap_px: float = 2.0
    fill: tuple[float, float] = (0.25, 0.45)
    toe_part: tuple[float, float] = (0.33, 0.6)
    card_off: float = 10.0
    card_nearer: float = 0.0  # beside that, always so much nearer to the camera
    card_turned: float = 5.0
    card_leans: float = 1.5
    card_rolled: float = 5.0
    corner_px: float = 0.3
    size_sd: float = 0.002
    heel_share: tuple[float, float] = (0.2, 0.36)  # the heel nearer, of the ground's length
    heel_slant_mm: float = 2.0
    with_card: bool = True


@dataclass(frozen=True)
class Scene:
    """A picture taken: points with their taps, the card as found, and the truth."""

    points: dict[str, Point]
    card: Card | None
    size_px: tuple[float, float]
    truth: dict[str, float]
    focal_px: float


def scene(rng: np.random.Generator, cell: Cell) -> Scene:
    """One foot, one camera, one card, one person's taps."""
    body, truth = foot(rng, cell)
    facing = rng.choice([-1.0, 1.0])
    for place in body.values():
        place[0] *= facing
    width, height = cell.long_edge_px, cell.long_edge_px * 0.75
    distance = rng.uniform(*cell.distance_mm)
    ground = abs(body["ground_toe"][0] - body["ground_heel"][0])
    focal = rng.uniform(*cell.fill) * width / ground * distance
    turned = math.radians(rng.uniform(-cell.turned, cell.turned))
    tilted = math.radians(rng.uniform(*cell.tilted))
    rolled = math.radians(rng.normal(0, 2))
    aim = np.array([-facing * 30.0, 0.0, 50.0]) + rng.normal(0, 15, 3)
    view = View(aim, distance, turned, tilted, rolled, focal, (width, height))
    points = {name: tapped(rng, view.shown(place), cell.tap_px) for name, place in body.items()}
    card, side = None, 60.0
    if cell.with_card:
        corners = [view.shown(place) for place in card_corners(rng, cell, facing, side)]
        found = [tapped(rng, corner, cell.corner_px) for corner in corners]
        card = Card((found[0], found[1], found[2], found[3]), side)
    return Scene(points, card, (width, height), truth, focal)


def foot(rng: np.random.Generator, cell: Cell) -> tuple[dict[str, Floats], dict[str, float]]:
    """A foot's points in the world, toe at x = 0, and what is true of it."""
    toe_angle, heel_angle = rng.uniform(40, 65), rng.uniform(30, 60)
    pastern_angle = rng.uniform(45, 65)
    toe, heel = rng.uniform(60, 110), rng.uniform(28, 50)
    ground = toe * rng.uniform(1.2, 1.5)
    part = rng.uniform(*cell.toe_part)
    nearer = ground * rng.uniform(*cell.heel_share)
    slant = rng.normal(0, cell.heel_slant_mm)

    def along(start: Floats, angle: float, length: float) -> Floats:
        lean = math.radians(angle)
        return start + length * np.array([-math.cos(lean), 0.0, math.sin(lean)])

    tip, back = np.zeros(3), np.array([-ground, nearer, 0.0])
    hairline = along(tip, toe_angle, toe)
    low = along(tip, toe_angle, toe * (1 - part))
    bulb = along(back, heel_angle, heel) + np.array([0.0, slant, 0.0])
    heel_low = along(back, heel_angle, heel * rng.uniform(0.0, 0.2))
    pastern = hairline + np.array([-25.0, rng.uniform(0.0, 30.0), 10.0])
    high = along(pastern, pastern_angle, 60.0) + np.array([0.0, rng.normal(0, 2.5), 0.0])
    body = {
        "ground_toe": tip,
        "ground_heel": back,
        "toe_low": low,
        "toe_hairline": hairline,
        "heel_low": heel_low,
        "heel_hairline": bulb,
        "pastern_low": pastern,
        "pastern_high": high,
    }
    truth = {
        "toe_angle": toe_angle,
        "heel_angle": heel_angle,
        "pastern_angle": pastern_angle,
        "toe_length": toe,
        "heel_length": math.hypot(heel, slant),
    }
    return {name: place.astype(np.float64) for name, place in body.items()}, truth


def card_corners(rng: np.random.Generator, cell: Cell, facing: float, side: float) -> list[Floats]:
    """The card's corners in the world as printed: top left, top right, bottom right, bottom left."""
    off = cell.card_nearer + rng.uniform(-cell.card_off, cell.card_off)
    true_side = side * (1 + rng.normal(0, cell.size_sd))
    middle = np.array([facing * rng.uniform(60, 110), off, rng.uniform(45, 75)])
    turn = math.radians(rng.uniform(-cell.card_turned, cell.card_turned))
    lean = math.radians(rng.uniform(-cell.card_leans, cell.card_leans))
    roll = math.radians(rng.uniform(-cell.card_rolled, cell.card_rolled))
    # Seen from the viewer's side (+y looking to -y) the world's x runs to the left.
    right, up, out = np.array([-1.0, 0, 0]), np.array([0, 0, 1.0]), np.array([0, 1.0, 0])
    right, up = (
        math.cos(roll) * right + math.sin(roll) * up,
        (math.cos(roll) * up - math.sin(roll) * right),
    )
    right, out = (
        math.cos(turn) * right + math.sin(turn) * out,
        (math.cos(turn) * out - math.sin(turn) * right),
    )
    up = math.cos(lean) * up + math.sin(lean) * out
    half = true_side / 2
    return [
        middle + half * (sx * right + sy * up) for sx, sy in ((-1, 1), (1, 1), (1, -1), (-1, -1))
    ]


@dataclass(frozen=True)
class View:
    """A pinhole camera aimed at a point of the world from a distance; angles in rad."""

    aim: Floats
    distance_mm: float
    turned: float
    tilted: float
    rolled: float
    focal_px: float
    size_px: tuple[float, float]

    def shown(self, place: Floats) -> Point:
        """Where a place of the world is seen, px, y down."""
        ahead = -np.array(
            [
                math.sin(self.turned) * math.cos(self.tilted),
                math.cos(self.turned) * math.cos(self.tilted),
                math.sin(self.tilted),
            ]
        )
        stand = self.aim - ahead * self.distance_mm
        right = np.cross(ahead, [0.0, 0.0, 1.0])
        right /= np.linalg.norm(right)
        down = np.cross(ahead, right)
        cos, sin = math.cos(self.rolled), math.sin(self.rolled)
        right, down = cos * right + sin * down, cos * down - sin * right
        seen = place - stand
        depth = float(seen @ ahead)
        return (
            self.size_px[0] / 2 + self.focal_px * float(seen @ right) / depth,
            self.size_px[1] / 2 + self.focal_px * float(seen @ down) / depth,
        )


def tapped(rng: np.random.Generator, place: Point, sd: float) -> Point:
    """Where a tap or a found corner falls: off by an SD along each axis, px."""
    return (place[0] + rng.normal(0, sd), place[1] + rng.normal(0, sd))
