"""Draws a picture as a phone would take it: the card on the ground before a wall, in true perspective.

Not the code under test run backwards: each pixel's ray is followed into the scene, light, blur, noise
and the JPEG come after. The card is the face that the app prints, read at the place where the ray
meets it.
"""

import io
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw

from measurements.hoof.pictures.card_face import (
    FACE_HEIGHT_MM,
    FACE_WIDTH_MM,
    SIDE_MM,
    SQUARE_LEFT_MM,
    SQUARE_TOP_MM,
    face_drawn,
)
from tests.hoof.pictures.textures import GROUNDS, TILE_PX, WALLS

Array = npt.NDArray[np.float64]
CARD_PX_PER_MM = 8.0


@dataclass(frozen=True)
class Shot:
    """How a picture is taken. Lengths in mm, angles in degrees; the camera looks at the card."""

    seed: int
    card: int | None = 1  # None: a picture without a card
    side_px: float = 120.0  # about how large the square comes out
    distance_mm: float = 1000.0
    turn_deg: float = 0.0  # camera beside the card's axis
    height_deg: float = 8.0  # camera above it
    roll_deg: float = 0.0
    aim_mm: tuple[float, float] = (0.0, 0.0)  # the picture's middle, from the card's middle
    curl_mm: float = 0.0  # how far the middle of the paper bulges towards the camera
    light: float = 1.0
    light_falls: float = 0.0  # part of the light lost from one side of the picture to the other
    shade: float = 1.0  # light left behind a shadow's edge across the card
    shade_deg: float = 40.0
    blur_px: float = 0.6
    blur_in_light: bool = True  # before the camera's tone curve, as a lens does
    noise: float = 3.0  # grey values
    quality: int = 80
    width_px: int = 1200
    height_px: int = 900


@dataclass(frozen=True)
class Rendered:
    jpeg: bytes
    corners_px: Array | None  # (4, 2), clockwise from the square's own top left
    shot: Shot = field(repr=False)

    @property
    def grey(self) -> npt.NDArray[np.uint8]:
        with Image.open(io.BytesIO(self.jpeg)) as picture:
            return np.asarray(picture.convert("L"))


def random_shot(rng: np.random.Generator, *, card: bool = True, **changed: object) -> Shot:
    """A picture as people take them, good and bad."""
    told: dict[str, object] = {
        "seed": int(rng.integers(1 << 31)),
        "card": int(rng.integers(1, 61)) if card else None,
        "side_px": float(np.exp(rng.uniform(np.log(50), np.log(300)))),
        "distance_mm": rng.uniform(600, 3000),
        "turn_deg": rng.uniform(-25, 25),
        "height_deg": rng.uniform(0, 10),
        "roll_deg": rng.uniform(-6, 6),
        "aim_mm": tuple(rng.uniform(-60, 60, 2)),
        "curl_mm": rng.choice([0.0, 0.0, 0.5, 1.0]),
        "light": rng.uniform(0.2, 1.0),
        "light_falls": rng.uniform(0, 0.6),
        "shade": rng.choice([1.0, 1.0, rng.uniform(0.3, 0.8)]),
        "shade_deg": rng.uniform(0, 180),
        "blur_px": rng.uniform(0.3, 1.8),
        "blur_in_light": bool(rng.random() < 0.5),
        "noise": rng.uniform(1, 9),
        "quality": int(rng.integers(60, 91)),
    }
    return Shot(**{**told, **changed})  # type: ignore[arg-type]


def rendered(shot: Shot, *, face: Array | None = None, foot: Array | None = None) -> Rendered:
    """The picture of a shot; `face` is another square's in place of the printed card's, `foot` the
    outline of a foot beside it, shape (n, 3), mm."""
    rng = np.random.default_rng(shot.seed)
    camera = _Camera(shot)
    light = _surroundings(shot, camera, rng)
    if foot is not None:
        _paint_foot(light, camera.seen(foot), rng)
    corners = None
    if shot.card is not None:
        corners = camera.seen(_on_card(_square_corners(), shot.curl_mm))
        _paint_card(light, shot, camera, face)
    grey = _developed(light, shot, corners, rng)
    out = io.BytesIO()
    Image.fromarray(grey).convert("RGB").save(out, "JPEG", quality=shot.quality)
    return Rendered(out.getvalue(), corners, shot)


class _Camera:
    """x to the right, y up, z towards the camera; the card's middle is the origin."""

    def __init__(self, shot: Shot) -> None:
        turn, height, roll = np.radians([shot.turn_deg, shot.height_deg, shot.roll_deg])
        away = np.array(
            [np.sin(turn) * np.cos(height), np.sin(height), np.cos(turn) * np.cos(height)]
        )
        self.place = away * shot.distance_mm
        target = np.array([*shot.aim_mm, 0.0]) * _room(shot)
        back = self.place - target
        back /= np.linalg.norm(back)
        right = np.cross([0.0, 1.0, 0.0], back)
        right /= np.linalg.norm(right)
        up = np.cross(back, right)
        right, up = (
            np.cos(roll) * right + np.sin(roll) * up,
            np.cos(roll) * up - np.sin(roll) * right,
        )
        self.axes = np.stack([right, -up, -back])  # picture's x, y (down), and into the scene
        self.focal_px = shot.side_px * shot.distance_mm / SIDE_MM
        self.middle = np.array([(shot.width_px - 1) / 2, (shot.height_px - 1) / 2])

    def seen(self, points: Array) -> Array:
        local = (points - self.place) @ self.axes.T
        return np.asarray(local[:, :2] / local[:, 2:] * self.focal_px + self.middle)

    def rays(self, x: Array, y: Array) -> Array:
        local = np.stack(
            [
                (x - self.middle[0]) / self.focal_px,
                (y - self.middle[1]) / self.focal_px,
                np.ones_like(x),
            ],
            axis=-1,
        )
        return np.asarray(local @ self.axes)


def _room(shot: Shot) -> float:
    """A large card near the picture's border is kept inside it."""
    half_mm = shot.height_px / 2 / shot.side_px * SIDE_MM
    return float(np.clip((half_mm - FACE_HEIGHT_MM * 0.75) / 60, 0.0, 3.0))


def _square_corners() -> Array:
    left, right = SQUARE_LEFT_MM, SQUARE_LEFT_MM + SIDE_MM
    top, bottom = SQUARE_TOP_MM, SQUARE_TOP_MM + SIDE_MM
    x = np.array([left, right, right, left]) - FACE_WIDTH_MM / 2
    y = FACE_HEIGHT_MM / 2 - np.array([top, top, bottom, bottom])
    return np.stack([x, y, np.zeros(4)], axis=1)


def _on_card(points: Array, curl_mm: float) -> Array:
    bulge = curl_mm * (1 - (points[:, 0] / (FACE_WIDTH_MM / 2)) ** 2)
    return points + np.stack([np.zeros(len(points)), np.zeros(len(points)), bulge], axis=1)


def _surroundings(shot: Shot, camera: _Camera, rng: np.random.Generator) -> Array:
    """The ground and a wall behind it, as light 0 to 1, shape (rows, columns)."""
    ground = GROUNDS[rng.integers(len(GROUNDS))](rng)
    wall = WALLS[rng.integers(len(WALLS))](rng)
    y, x = np.mgrid[0 : shot.height_px, 0 : shot.width_px].astype(float)
    ray = camera.rays(x, y)
    ground_y, wall_z = -FACE_HEIGHT_MM / 2, -rng.uniform(60, 1500)
    texel_mm = np.exp(rng.uniform(np.log(0.3), np.log(3)))
    with np.errstate(divide="ignore", invalid="ignore"):
        to_ground = (ground_y - camera.place[1]) / ray[..., 1]
        to_wall = (wall_z - camera.place[2]) / ray[..., 2]
    to_ground = np.where((ray[..., 1] < 0) & (to_ground > 0), to_ground, np.inf)
    on_ground = to_ground < to_wall
    at = camera.place + ray * np.where(on_ground, to_ground, to_wall)[..., None]
    second = np.where(on_ground, at[..., 2], at[..., 1])
    column = (at[..., 0] / texel_mm).astype(int) % TILE_PX
    row = (second / texel_mm).astype(int) % TILE_PX
    return np.where(on_ground, ground[row, column], wall[row, column]).astype(float) ** 2.2


def _paint_card(light: Array, shot: Shot, camera: _Camera, face: Array | None) -> None:
    assert shot.card is not None
    if face is None:
        face = face_drawn(shot.card, px_per_mm=CARD_PX_PER_MM).grey
    texture = 0.04 + 0.86 * (face / 255) ** 2.2  # ink is not black, nor paper white
    half_w, half_h = FACE_WIDTH_MM / 2, FACE_HEIGHT_MM / 2
    rim = np.array(
        [(-half_w, half_h, 0), (half_w, half_h, 0), (half_w, -half_h, 0), (-half_w, -half_h, 0)]
    )
    seen = camera.seen(rim)
    x0, y0 = np.maximum(np.floor(seen.min(0)).astype(int) - 3, 0)
    x1, y1 = np.minimum(np.ceil(seen.max(0)).astype(int) + 4, (shot.width_px, shot.height_px))
    if x0 >= x1 or y0 >= y1:
        return
    steps = int(np.clip(round(2.5 * CARD_PX_PER_MM * SIDE_MM / shot.side_px / 4), 3, 6))
    parts = (np.arange(steps) + 0.5) / steps - 0.5
    total, cover = np.zeros((y1 - y0, x1 - x0)), np.zeros((y1 - y0, x1 - x0))
    y, x = np.mgrid[y0:y1, x0:x1].astype(float)
    for dy in parts:
        for dx in parts:
            grey, hit = _card_at(camera, x + dx, y + dy, texture, shot.curl_mm)
            total += grey
            cover += hit
    n = steps * steps
    light[y0:y1, x0:x1] = total / n + light[y0:y1, x0:x1] * (1 - cover / n)


def _card_at(
    camera: _Camera, x: Array, y: Array, texture: Array, curl: float
) -> tuple[Array, Array]:
    ray = camera.rays(x, y)
    z = np.zeros_like(x)
    for _ in range(3 if curl else 1):  # the bulge is small against the distance
        at = camera.place + ray * ((z - camera.place[2]) / ray[..., 2])[..., None]
        z = curl * (1 - (at[..., 0] / (FACE_WIDTH_MM / 2)) ** 2)
    column = (at[..., 0] + FACE_WIDTH_MM / 2) * CARD_PX_PER_MM
    row = (FACE_HEIGHT_MM / 2 - at[..., 1]) * CARD_PX_PER_MM
    hit = (column >= 0) & (row >= 0) & (column < texture.shape[1]) & (row < texture.shape[0])
    found = texture[np.where(hit, row, 0).astype(int), np.where(hit, column, 0).astype(int)]
    return np.where(hit, found, 0.0), hit.astype(float)


def seen_on(shot: Shot, points: Array) -> Array:
    """Where points of the scene, shape (n, 3) in mm from the card's middle, lie on its picture, px."""
    return _Camera(shot).seen(points)


def _paint_foot(light: Array, outline: Array, rng: np.random.Generator) -> None:
    """A dark shape: what the points are put on is known, and nothing is looked for in it."""
    mask = Image.new("L", (light.shape[1], light.shape[0]))
    ImageDraw.Draw(mask).polygon([tuple(point) for point in outline], fill=255)
    light[np.asarray(mask) > 0] = rng.uniform(0.02, 0.2)


def _developed(
    light: Array, shot: Shot, corners: Array | None, rng: np.random.Generator
) -> npt.NDArray[np.uint8]:
    y, x = np.mgrid[0 : shot.height_px, 0 : shot.width_px].astype(float)
    light = light * shot.light * (1 - shot.light_falls * x / shot.width_px)
    if shot.shade < 1:
        middle = (
            corners.mean(0)
            if corners is not None
            else np.array([shot.width_px, shot.height_px]) / 2
        )
        across = np.radians(shot.shade_deg)
        off = (x - middle[0]) * np.cos(across) + (y - middle[1]) * np.sin(across)
        light = light * (1 - (1 - shot.shade) / (1 + np.exp(-np.clip(off / 2, -50, 50))))
    if shot.blur_in_light:
        grey = 255 * np.clip(_blurred(light, shot.blur_px), 0, 1) ** (1 / 2.2)
    else:
        grey = _blurred(255 * np.clip(light, 0, 1) ** (1 / 2.2), shot.blur_px)
    grey = grey + rng.normal(0, shot.noise, grey.shape)
    return np.clip(np.round(grey), 0, 255).astype(np.uint8)


def _blurred(picture: Array, sd_px: float) -> Array:
    reach = int(np.ceil(3 * sd_px))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / max(sd_px, 1e-6)) ** 2)
    weights /= weights.sum()
    for axis in (0, 1):
        padded = np.pad(picture, [(reach, reach) if a == axis else (0, 0) for a in (0, 1)], "edge")
        size = picture.shape[axis]
        picture = sum(w * padded.take(range(i, i + size), axis) for i, w in enumerate(weights))
    return picture
