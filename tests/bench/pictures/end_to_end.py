"""From a picture to numbers: a rendered foot with the card before it, searched, tapped and measured.

    uv run python -m tests.bench.pictures.end_to_end [--pictures 200]

The card is found on the picture as a phone saves it; the points are put where they truly are, off by a
tap's error. Not tried on real photographs of feet with a card: none were available.
"""

import argparse
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from measurements.hoof.pictures.card_face import FACE_HEIGHT_MM, FACE_WIDTH_MM
from measurements.hoof.pictures.card_find import card_find
from measurements.hoof.pictures.measured import Measured
from measurements.hoof.pictures.side_view import measure_side
from measurements.pictures.measure import card_of
from tests.hoof.pictures.rendered import Shot, random_shot, rendered, seen_on

SEED = 20261130
TAP_PX = 2.0
GOALS = {"toe_angle": 0.8, "heel_angle": 1.6, "toe_length": 2.0}  # RMSE, deg and mm
Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Foot:
    """Where its points lie in mm, as the scene counts: x right, y up, z to the camera; and the truth."""

    points: dict[str, Array]
    outline: Array
    truth: dict[str, float]


def some_foot(rng: np.random.Generator) -> Foot:
    """Invented as people's feet are: angles and lengths over their whole ordinary range."""
    toe_deg, heel_deg, pastern_deg = rng.uniform(42, 62), rng.uniform(35, 60), rng.uniform(45, 62)
    toe_mm, heel_mm, ground_mm = rng.uniform(65, 105), rng.uniform(25, 50), rng.uniform(100, 140)
    off_mm = rng.normal(0, 5)  # the card is put down by eye
    nearer = ground_mm * rng.normal(0.28, 0.05)
    toe = np.array([FACE_WIDTH_MM / 2 + rng.uniform(10, 60), -FACE_HEIGHT_MM / 2, off_mm])
    heel = toe + (ground_mm, 0, nearer)

    def up(start: Array, deg: float, mm: float) -> Array:
        return np.asarray(
            start + mm * np.array([np.cos(np.radians(deg)), np.sin(np.radians(deg)), 0])
        )

    hairline, back = up(toe, toe_deg, toe_mm), up(heel, heel_deg, heel_mm)
    pastern = hairline + (12, 8, 15)
    points = {
        "ground_toe": toe,
        "ground_heel": heel,
        "toe_low": up(toe, toe_deg, 0.67 * toe_mm),
        "toe_hairline": hairline,
        "heel_low": up(heel, heel_deg, 0.2 * heel_mm),
        "heel_hairline": back,
        "pastern_low": pastern,
        "pastern_high": up(pastern, pastern_deg, 60),
    }
    outline = np.stack(
        [toe, hairline, up(hairline, pastern_deg, 80), up(back, pastern_deg, 110), back, heel]
    )
    truth = {
        "toe_angle": toe_deg,
        "heel_angle": heel_deg,
        "pastern_angle": pastern_deg,
        "toe_length": toe_mm,
        "heel_length": heel_mm,
    }
    return Foot(points, outline, truth)


def shots(rng: np.random.Generator, near: bool) -> Shot:
    """Whole foot and card on a kept picture; the foot fills the same part of it, near or far."""
    return replace(
        random_shot(rng, width_px=2400, height_px=1800, curl_mm=0.0),
        distance_mm=rng.uniform(600, 1100) if near else rng.uniform(1500, 3000),
        side_px=rng.uniform(360, 440),
        turn_deg=rng.uniform(-12, 12),
        height_deg=rng.uniform(0, 10),
        aim_mm=(100.0, 20.0),
        blur_px=rng.uniform(0.4, 1.5),
    )


def cell(near: bool, pictures: int) -> None:
    rng = np.random.default_rng(SEED + near)
    errors: dict[str, list[tuple[float, float]]] = {}
    found = 0
    for _ in range(pictures):
        foot, shot = some_foot(rng), shots(rng, near)
        picture = rendered(shot, foot=foot.outline)
        card = card_find(picture.grey)
        if card is None:
            continue
        found += 1
        seen = seen_on(shot, np.stack(list(foot.points.values())))
        tapped = seen + rng.normal(0, TAP_PX, seen.shape)
        points = {
            name: (float(x), float(y)) for name, (x, y) in zip(foot.points, tapped, strict=True)
        }
        size = (float(shot.width_px), float(shot.height_px))
        for name, value in measure_side(points, card=card_of(card, 60.0), size_px=size).items():
            if isinstance(value, Measured):
                errors.setdefault(name, []).append(
                    (value.value - foot.truth[name], value.high95 - value.value)
                )
    print(
        f"\n{'0.6 to 1.1' if near else '1.5 to 3'} m: card found on {found} of {pictures} pictures"
    )
    print(f"{'':16} {'n':>4} {'RMSE':>7} {'goal':>5} {'bias':>7} {'inside 95 %':>12}")
    for name, pairs in errors.items():
        error, half = np.array(pairs).T
        inside = (np.abs(error) <= half).mean()
        rmse = np.sqrt((error**2).mean())
        goal = GOALS.get(name, float("nan"))
        print(
            f"{name:16} {len(error):4} {rmse:7.2f} {goal:5.1f} {error.mean():7.2f} {inside:12.3f}"
        )


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("--pictures", type=int, default=200)
    told = asked.parse_args()
    for near in (True, False):
        cell(near, told.pictures)
