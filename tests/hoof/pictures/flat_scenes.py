"""Fronts and soles photographed by the camera of our own (camera.py), each with the truth."""

import math

import numpy as np

from measurements.hoof.pictures.measured import Card
from tests.hoof.pictures.camera import Cell, Floats, Scene, View, card_corners, tapped

SIDE_MM = 60.0


def front_scene(rng: np.random.Generator, cell: Cell) -> Scene:
    """A foot from the front: y towards the viewer, z up, the inside on either hand."""
    width, inside, outside = rng.uniform(95, 140), rng.uniform(70, 88), rng.uniform(68, 86)
    rise = rng.uniform(40, 60)
    higher = rng.uniform(-6, 6)
    half, hand = width / 2, rng.choice([-1.0, 1.0])

    def depth() -> float:
        return float(rng.normal(0, 3.0))

    def wall(side: float, angle: float, height: float) -> Floats:
        lean = height / math.tan(math.radians(angle))
        return np.array([hand * side * (half - lean), depth(), height])

    body = {
        "ground_inside": np.array([hand * half, depth(), 0.0]),
        "ground_outside": np.array([-hand * half, depth(), 0.0]),
        "inside_low": wall(1, inside, 5.0),
        "inside_hairline": wall(1, inside, rise + higher),
        "outside_low": wall(-1, outside, 5.0),
        "outside_hairline": wall(-1, outside, rise),
    }
    truth = {
        "inside_wall_angle": inside,
        "outside_wall_angle": outside,
        "height_difference": higher,
    }
    return _photographed(rng, cell, body, truth, width, half)


def sole_scene(rng: np.random.Generator, cell: Cell) -> Scene:
    """A sole held up to the camera: y towards the viewer, the toe at the top."""
    long, wide = rng.uniform(100, 150), rng.uniform(95, 145)
    heels, widest, back = rng.uniform(55, 80), rng.uniform(0.45, 0.6) * long, rng.uniform(3, 14)
    frog_long, frog_wide = rng.uniform(60, 90), rng.uniform(40, 65)

    def at(x: float, along: float, sd: float = 2.0) -> Floats:
        return np.array([x, rng.normal(0, sd), along])

    body = {
        "toe": at(0, long),
        "heel_inside": at(-heels / 2, 0),
        "heel_outside": at(heels / 2, 0),
        "widest_inside": at(-wide / 2, widest),
        "widest_outside": at(wide / 2, widest),
        "breakover": at(0, long - back),
        "frog_tip": at(0, frog_long, 5.0),
        "frog_back": at(0, 0, 5.0),
        "frog_inside": at(-frog_wide / 2, 8, 5.0),
        "frog_outside": at(frog_wide / 2, 8, 5.0),
    }
    truth = {
        "hoof_length": long,
        "hoof_width": wide,
        "frog_length": frog_long,
        "frog_width": frog_wide,
        "breakover_to_heel": long - back,
        "breakover_to_widest": long - back - widest,
        "widest_to_heel": widest,
    }
    return _photographed(rng, cell, body, truth, long, -wide / 4)


def _photographed(
    rng: np.random.Generator,
    cell: Cell,
    body: dict[str, Floats],
    truth: dict[str, float],
    size_mm: float,
    beside_mm: float,
) -> Scene:
    width, height = cell.long_edge_px, cell.long_edge_px * 0.75
    distance = rng.uniform(*cell.distance_mm)
    focal = rng.uniform(*cell.fill) * width / size_mm * distance
    view = View(
        np.array([0.0, 0.0, 40.0]) + rng.normal(0, 15, 3),
        distance,
        math.radians(rng.uniform(-cell.turned, cell.turned)),
        math.radians(rng.uniform(*cell.tilted)),
        math.radians(rng.normal(0, 2)),
        focal,
        (width, height),
    )
    points = {name: tapped(rng, view.shown(place), cell.tap_px) for name, place in body.items()}
    corners = card_corners(rng, cell, 1.0, SIDE_MM)
    shift = np.array([beside_mm - 20.0, 0.0, 0.0])
    found = [tapped(rng, view.shown(corner + shift), cell.corner_px) for corner in corners]
    card = Card((found[0], found[1], found[2], found[3]), SIDE_MM)
    return Scene(points, card, (width, height), truth, focal)
