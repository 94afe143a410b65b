"""A foot photographed from the side, drawn: the demo's pictures, with the printed card beside the foot.

A pinhole camera looks at the foot and the card as they stand in millimetres, so that what is placed
on the picture and reckoned from it comes out as it was drawn. No photograph: flat colours, some
grain, the same every time.
"""

import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from measurements.hoof.outline import SHOE_MM, Point, SideNumbers, side_outline
from measurements.hoof.pictures.card_face import (
    FACE_HEIGHT_MM,
    FACE_WIDTH_MM,
    SIDE_MM,
    SQUARE_LEFT_MM,
    SQUARE_TOP_MM,
    face_drawn,
)

WIDTH_PX, HEIGHT_PX = 1600, 1200
QUALITY = 78
GRAIN_PX = 200
FOCAL_PX = 2300.0  # a phone's longer lens, or the main one cut to the foot; from memory
HEEL_NEARER_MM = (
    34.0  # the heel wall stands in front of the middle plane: see hoof/pictures/side_view.py
)
PASTERN_NEARER_MM = 15.0
CARD_GAP_MM = 22.0
# Of the toe's wall: its straight upper third, where the points lie.
UPPER_THIRD = 2 / 3
HOOF, LEG, SHOE, WALL = (112, 98, 84), (146, 122, 98), (70, 70, 74), (58, 48, 38)
SKY, GROUND = (176, 176, 168), (150, 138, 118)

Xyz = tuple[float, float, float]
Xy = tuple[float, float]


@dataclass(frozen=True)
class Aim:
    """How the phone was held: its distance, and how far it was turned, tilted and rolled."""

    distance_mm: float
    turned_deg: float
    tilted_deg: float
    rolled_deg: float
    seed: int


@dataclass(frozen=True)
class FootPicture:
    """The JPEG, and where the points and the card's corners lie on it, in pixels."""

    jpeg: bytes
    points: Mapping[str, Xy]
    card_corners: tuple[Xy, Xy, Xy, Xy]


class Camera:
    """Looks at the foot and the card from `distance_mm` in front; x to the heel, z to the camera."""

    LOOKS_AT: Xyz = (20.0, 70.0, 0.0)

    def __init__(self, aim: Aim) -> None:
        self._distance = aim.distance_mm
        yaw, pitch, roll = (
            math.radians(d) for d in (aim.turned_deg, aim.tilted_deg, aim.rolled_deg)
        )
        turn = np.array(
            [[math.cos(yaw), 0, math.sin(yaw)], [0, 1, 0], [-math.sin(yaw), 0, math.cos(yaw)]]
        )
        tilt = np.array(
            [
                [1, 0, 0],
                [0, math.cos(pitch), -math.sin(pitch)],
                [0, math.sin(pitch), math.cos(pitch)],
            ]
        )
        lean = np.array(
            [[math.cos(roll), -math.sin(roll), 0], [math.sin(roll), math.cos(roll), 0], [0, 0, 1]]
        )
        self._turned = lean @ tilt @ turn

    def at(self, place: Xyz) -> Xy:
        x, y, z = self._turned @ (np.array(place) - np.array(self.LOOKS_AT))
        scale = FOCAL_PX / (self._distance - z)
        return WIDTH_PX / 2 + x * scale, HEIGHT_PX / 2 - y * scale


def foot_picture(numbers: SideNumbers, aim: Aim, *, card_number: int = 1) -> FootPicture:
    """A left fore from outside: its toe to the left. Raises ValueError where the numbers draw no heel."""
    # Measured from the ground, as the readings are: the shoe is drawn into the lowest of it.
    drawn = side_outline(replace(numbers, is_shod=False))
    if not (drawn.heel and drawn.heel_top and drawn.pastern and drawn.pastern_back):
        raise ValueError("a picture needs a heel and a pastern")
    camera, ground = Camera(aim), 0.0
    flat = {
        "ground_toe": (drawn.toe.x_mm, ground, 0.0),
        "ground_heel": (drawn.heel.x_mm, ground, HEEL_NEARER_MM),
        "toe_low": _between(drawn.toe, drawn.hairline, UPPER_THIRD, 0.0),
        "toe_hairline": (drawn.hairline.x_mm, drawn.hairline.y_mm, 0.0),
        "heel_low": (drawn.heel.x_mm, drawn.heel.y_mm, HEEL_NEARER_MM),
        "heel_hairline": (drawn.heel_top.x_mm, drawn.heel_top.y_mm, HEEL_NEARER_MM),
    }
    image = _scene(camera, ground)
    pen = ImageDraw.Draw(image)

    def shape(places: Sequence[Xyz], colour: tuple[int, int, int]) -> None:
        pen.polygon([camera.at(place) for place in places], fill=colour)

    toe, heel = flat["ground_toe"], flat["ground_heel"]
    hair, heel_hair = flat["toe_hairline"], flat["heel_hairline"]
    pastern = (drawn.pastern.x_mm, drawn.pastern.y_mm, PASTERN_NEARER_MM)
    back = (drawn.pastern_back.x_mm, drawn.pastern_back.y_mm, PASTERN_NEARER_MM)
    up = (pastern[0] + 45, pastern[1] + 150, PASTERN_NEARER_MM)
    back_up = (back[0] + 45, back[1] + 150, PASTERN_NEARER_MM)
    shape([hair, pastern, up, back_up, back, heel_hair], LEG)
    shape([(0.0, 0.0, 0.0), hair, heel_hair, flat["heel_low"]], HOOF)
    if numbers.is_shod:
        up_toe, up_heel = (
            _mix(toe, hair, SHOE_MM / hair[1]),
            _mix(heel, heel_hair, SHOE_MM / heel_hair[1]),
        )
        shape([toe, up_toe, up_heel, heel], SHOE)
    for share in (0.25, 0.5, 0.75):  # rings of growth
        one, other = _mix((0.0, 0.0, 0.0), hair, share), _mix(flat["heel_low"], heel_hair, share)
        pen.line([camera.at(one), camera.at(other)], fill=WALL, width=2)
    pen.line([camera.at(hair), camera.at(heel_hair)], fill=WALL, width=5)
    corners = _card_in(image, camera, ground, card_number)
    grained = _grained(image.filter(ImageFilter.GaussianBlur(0.8)), aim.seed)
    out = io.BytesIO()
    grained.save(out, format="JPEG", quality=QUALITY)
    points = {name: _rounded(camera.at(place)) for name, place in flat.items()}
    return FootPicture(out.getvalue(), points, corners)


def _between(low: Point, high: Point, share: float, z: float) -> Xyz:
    return low.x_mm + (high.x_mm - low.x_mm) * share, low.y_mm + (high.y_mm - low.y_mm) * share, z


def _mix(one: Xyz, other: Xyz, share: float) -> Xyz:
    x, y, z = (a + (b - a) * share for a, b in zip(one, other, strict=True))
    return x, y, z


def _rounded(place: Xy) -> Xy:
    return round(float(place[0]), 1), round(float(place[1]), 1)


def _scene(camera: Camera, ground: float) -> Image.Image:
    """A wall, and the ground in front of it as far as the foot."""
    image = Image.new("RGB", (WIDTH_PX, HEIGHT_PX), SKY)
    left, right = camera.at((-3000.0, ground, -150.0)), camera.at((3000.0, ground, -150.0))
    ImageDraw.Draw(image).polygon([left, right, (WIDTH_PX, HEIGHT_PX), (0, HEIGHT_PX)], fill=GROUND)
    return image


def _grained(image: Image.Image, seed: int) -> Image.Image:
    """One small patch of grain over and over: as fine as it needs to be, and quick."""
    patch = np.random.default_rng(seed).normal(128.0, 5.0, (GRAIN_PX, GRAIN_PX)).astype(np.uint8)
    across, down = -(-WIDTH_PX // GRAIN_PX), -(-HEIGHT_PX // GRAIN_PX)
    grain = Image.fromarray(np.tile(patch, (down, across))[:HEIGHT_PX, :WIDTH_PX])
    return ImageChops.add(image, Image.merge("RGB", (grain,) * 3), scale=1, offset=-128)


def _card_in(
    image: Image.Image, camera: Camera, ground: float, number: int
) -> tuple[Xy, Xy, Xy, Xy]:
    """Stands the card on the ground before the toe, in the plane of the foot's middle."""
    px_per_mm = 5.0
    face = face_drawn(number, px_per_mm=px_per_mm)
    left, top = -CARD_GAP_MM - FACE_WIDTH_MM, ground + FACE_HEIGHT_MM

    def on(x: float, y: float) -> Xy:
        """A place on the face in mm from its upper left, as the picture has it."""
        return camera.at((left + x, top - y, 0.0))

    size = face.grey.shape[1], face.grey.shape[0]
    whole = [
        on(x, y)
        for x, y in (
            (0, 0),
            (FACE_WIDTH_MM, 0),
            (FACE_WIDTH_MM, FACE_HEIGHT_MM),
            (0, FACE_HEIGHT_MM),
        )
    ]
    drawn = [(0, 0), (size[0], 0), size, (0, size[1])]
    grey = Image.fromarray(face.grey.astype(np.uint8))
    laid = grey.transform(
        image.size, Image.Transform.PERSPECTIVE, _eight(whole, drawn), Image.Resampling.BICUBIC
    )
    mask = Image.new("L", image.size, 0)
    ImageDraw.Draw(mask).polygon(whole, fill=255)
    dim = laid.point(lambda value: 25 + value * 0.8)
    image.paste(Image.merge("RGB", (dim, dim, dim)), mask=mask)
    x0, y0, side = SQUARE_LEFT_MM, SQUARE_TOP_MM, SIDE_MM
    one, two, three, four = (
        _rounded(on(x, y))
        for x, y in ((x0, y0), (x0 + side, y0), (x0 + side, y0 + side), (x0, y0 + side))
    )
    return one, two, three, four


def _eight(on_picture: Sequence[Xy], on_face: Sequence[Xy]) -> list[float]:
    """The eight numbers that lead each place of the picture to its place on the face."""
    rows, right = [], []
    for (x, y), (u, v) in zip(on_picture, on_face, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return [float(number) for number in np.linalg.solve(np.array(rows), np.array(right))]
