"""A camera and feet unlike those of tests/hoof/pictures/camera.py, to see what the figures owe to them.

The world as computer vision has it: x right, y down, z away from the viewer, the ground at y = 0, the
middle plane of the foot at z = 0. A phone's camera stands somewhere and is pointed; the foot is cut out
of a wide picture or zoomed to, as it comes. The card stands on the ground by the foot of its face, which
the first camera's does not: there somebody holds it, at any height and a little askew.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from measurements.hoof.pictures.card_face import FACE_HEIGHT_MM, SIDE_MM, SQUARE_TOP_MM
from measurements.hoof.pictures.measured import Card, Point
from tests.hoof.pictures.camera import Scene

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Feet:
    """Sorts of feet, mm and deg: how far the heels stand before the middle plane, how long the ground
    is, how far their hairline slants out or in (up to), the toe's points apart, and how far the lowest
    third of the toe wall bends outwards (up to)."""

    nearer: tuple[float, float] = (25.0, 45.0)
    ground: tuple[float, float] = (100.0, 150.0)
    slants: float = 0.0
    toe_apart: tuple[float, float] = (33.0, 50.0)
    flare_deg: float = 0.0


@dataclass(frozen=True)
class Stand:
    """How the card stands, mm and deg: `off` up to so far from the plane, either way, or exactly so far
    (`off_exact`); `turned`, `leans`, `rolled` SD; its square's middle at so many mm over the ground
    (`None`: standing on the foot of its face)."""

    off: float = 10.0
    off_exact: bool = False
    turned: float = 1.5
    leans: float = 0.5
    rolled: float = 0.3
    middle: tuple[float, float] | None = None
    size_sd: float = 0.002


@dataclass(frozen=True)
class Shots:
    """How pictures are taken: `looks_down` deg to the middle of the foot, `turned` up to; the ground's
    share of the long edge; the picture's long edge and the taps, px."""

    distance: tuple[float, float] = (600.0, 1_100.0)
    looks_down: tuple[float, float] = (0.0, 10.0)
    turned: float = 12.0
    fill: tuple[float, float] = (0.36, 0.46)
    long_edge: float = 2_400.0
    tap_px: float = 2.0
    corner_px: float = 0.25
    with_card: bool = True


def taken(rng: np.random.Generator, feet: Feet, stand: Stand, shots: Shots) -> Scene:
    """One picture: points with their taps, the card as found, the truth."""
    places, truth, ground = _foot(rng, feet)
    side = rng.choice([-1.0, 1.0])  # to which side the toe points
    for place in places.values():
        place[0] *= side
    names = list(places)
    world = [*places.values(), *_card(rng, stand, side)]
    seen, focal = _projected(rng, np.array(world), shots, ground, side)
    points: dict[str, Point] = {}
    for name, place in zip(names, seen[: len(names)], strict=True):
        x, y = place + rng.normal(0, shots.tap_px, 2)
        points[name] = (float(x), float(y))
    card = None
    if shots.with_card:
        found = seen[len(names) :] + rng.normal(0, shots.corner_px, (4, 2))
        a, b, c, d = ((float(x), float(y)) for x, y in found)
        card = Card((a, b, c, d), SIDE_MM)
    return Scene(points, card, (shots.long_edge, 0.75 * shots.long_edge), truth, focal)


def _foot(
    rng: np.random.Generator, feet: Feet
) -> tuple[dict[str, Floats], dict[str, float], float]:
    """A foot with its toe towards +x from the origin, and what is true of it."""
    toe_deg, heel_deg, pastern_deg = rng.uniform(42, 62), rng.uniform(32, 58), rng.uniform(46, 62)
    ground = rng.uniform(*feet.ground)
    toe_mm, heel_mm = ground * rng.uniform(0.62, 0.78), rng.uniform(26, 48)
    nearer = rng.uniform(*feet.nearer)

    def up(deg: float, length: float) -> Floats:
        return np.array([-np.cos(np.radians(deg)), -np.sin(np.radians(deg)), 0.0]) * length

    tip = np.zeros(3)
    hairline = tip + up(toe_deg, toe_mm)
    low = hairline - up(toe_deg, rng.uniform(*feet.toe_apart))
    if (
        feet.flare_deg
    ):  # the lowest third of the wall runs flatter, and meets the ground further out
        bend = up(toe_deg, toe_mm / 3)
        flatter = np.radians(toe_deg - rng.uniform(0, feet.flare_deg))
        tip = np.array([bend[0] - bend[1] / np.tan(flatter), 0.0, 0.0])
    back = np.array([tip[0] - ground, 0.0, -nearer])
    high = back + up(heel_deg, heel_mm)
    slant = rng.uniform(-feet.slants, feet.slants)
    heel_low = back + rng.uniform(0.1, 0.3) * (high - back) + np.array([0, 0, 0.2 * slant])
    high = high + np.array([0.0, 0.0, slant])
    pastern = hairline + np.array([-20.0, -12.0, -rng.uniform(5, 25)])
    places = {
        "ground_toe": tip,
        "ground_heel": back,
        "toe_low": low,
        "toe_hairline": hairline,
        "heel_low": heel_low,
        "heel_hairline": high,
        "pastern_low": pastern,
        "pastern_high": pastern + up(pastern_deg, rng.uniform(45, 70)),
    }
    truth = {
        "toe_angle": toe_deg,
        "heel_angle": heel_deg,
        "pastern_angle": pastern_deg,
        "toe_length": float(np.linalg.norm(hairline - tip)),
        "heel_length": float(np.linalg.norm(high - back)),
    }
    return places, truth, ground


def _card(rng: np.random.Generator, stand: Stand, side: float) -> list[Floats]:
    """The square's corners from the top left, clockwise as printed."""
    off = rng.uniform(-stand.off, stand.off)
    if stand.off_exact:
        off = stand.off * float(np.sign(off))
    turned, leans, rolled = np.radians(
        rng.normal(0, (stand.turned, stand.leans, stand.rolled))
    ).tolist()
    real = SIDE_MM * (1 + rng.normal(0, stand.size_sd))
    base = FACE_HEIGHT_MM - SQUARE_TOP_MM - SIDE_MM  # white and words below the square
    middle = base + SIDE_MM / 2 if stand.middle is None else rng.uniform(*stand.middle)
    foot = np.array([side * rng.uniform(50, 110), 0.0, off])
    corners = np.array([[-0.5, 0.5], [0.5, 0.5], [0.5, -0.5], [-0.5, -0.5]]) * real
    flat = np.stack([corners[:, 0], -(corners[:, 1] + middle), np.zeros(4)], axis=1)
    turns = [_about(2, rolled), _about(0, leans), _about(1, turned)]
    for turn in turns:
        flat = flat @ turn.T
    return list(flat + foot)


def _about(axis: int, angle: float) -> Floats:
    """A turn about one axis of the world."""
    one, two = [each for each in range(3) if each != axis]
    matrix = np.eye(3)
    matrix[one, one] = matrix[two, two] = np.cos(angle)
    matrix[one, two], matrix[two, one] = -np.sin(angle), np.sin(angle)
    return matrix


def _projected(
    rng: np.random.Generator, world: Floats, shots: Shots, ground: float, side: float
) -> tuple[Floats, float]:
    """Where places of the world are seen (k, 2), and the focal length, px."""
    down, turned = np.radians([rng.uniform(*shots.looks_down), rng.uniform(-1, 1) * shots.turned])
    distance = rng.uniform(*shots.distance)
    middle = np.array([side * (20.0 - ground / 2), -45.0, 0.0])
    back = np.array([np.sin(turned) * np.cos(down), -np.sin(down), -np.cos(turned) * np.cos(down)])
    eye = middle + distance * back
    ahead = middle + rng.normal(0, 12, 3) - eye
    ahead /= np.linalg.norm(ahead)
    right = np.cross([0.0, 1.0, 0.0], ahead)
    right /= np.linalg.norm(right)
    axes = np.stack([right, np.cross(ahead, right), ahead])
    axes = _about(2, np.radians(rng.normal(0, 2.5))) @ axes
    local = (world - eye) @ axes.T
    focal = rng.uniform(*shots.fill) * shots.long_edge * distance / ground
    centre = np.array([0.5, 0.375]) * shots.long_edge
    return local[:, :2] / local[:, 2:] * focal + centre, float(focal)
