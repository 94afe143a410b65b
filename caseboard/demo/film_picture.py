"""A film of a foot from the side, drawn: what a vet's device would export, with a marker of 50 mm.

The points are where the drawing has them, so that the angle and the sole that were asked for come out.
No film of a living horse: flat greys, blurred a little.
"""

import io
import math
from dataclasses import dataclass

from PIL import Image, ImageDraw, ImageFilter

Xy = tuple[float, float]
WIDTH_PX, HEIGHT_PX = 1200, 960
PX_A_MM = 6.0
GROUND_PX = 860.0  # from the upper edge
MARKER_MM = 50
# The foot in mm, the toe at the left, upwards from the ground. Sizes of a cob's foot, from memory.
TOE_MM, HEEL_MM, WALL_MM = 30.0, 132.0, 86.0
TIP_MM, BONE_MM, BONE_FRONT_MM = 52.0, 58.0, 46.0
PASTERN_DEG = 54.0
HOLLOW_MM = 3.0  # of the sole, under the tip


@dataclass(frozen=True)
class FilmPicture:
    jpeg: bytes
    points: dict[str, Xy]


def film_picture(
    *, palmar_deg: float, sole_mm: float, wall_deg: float, turned_deg: float
) -> FilmPicture:
    """`turned_deg`: how much steeper the bone's front is than the wall."""
    toe, heel = (TOE_MM, 0.0), (HEEL_MM, 0.0)
    hairline = _along(toe, wall_deg, WALL_MM)
    tip = (TIP_MM, HOLLOW_MM + sole_mm)
    bone_heel = (tip[0] + BONE_MM, tip[1] + BONE_MM * math.tan(math.radians(palmar_deg)))
    front = wall_deg + turned_deg
    low, high = _along(tip, front, 6), _along(tip, front, BONE_FRONT_MM)
    extensor = (high[0] + 4, high[1] + 4)
    places = {
        "marker_start": (12.0, 20.0),
        "marker_end": (12.0, 20.0 + MARKER_MM),
        "ground_toe": toe,
        "ground_heel": heel,
        "wall_high": _along(toe, wall_deg, 70),
        "wall_low": _along(toe, wall_deg, 24),
        "bone_high": high,
        "bone_low": low,
        "bone_tip": tip,
        "bone_heel": bone_heel,
        "sole_under_tip": (TIP_MM, HOLLOW_MM),
        "extensor": extensor,
        "hairline": hairline,
        "breakover": (TOE_MM + 4, 0.0),
    }
    joint = (extensor[0] + 27, extensor[1] - 9)
    image = Image.new("L", (WIDTH_PX, HEIGHT_PX), 12)
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, GROUND_PX, WIDTH_PX, HEIGHT_PX), fill=70)  # the block it stands on
    sole = [toe, (TIP_MM - 8, HOLLOW_MM), (TIP_MM + 40, HOLLOW_MM + 4), heel]
    bulb, skin = (150.0, 42.0), _along(hairline, PASTERN_DEG, 64)
    pastern = [(extensor[0] + 2, extensor[1] + 3), (joint[0] + 2, joint[1] + 3)]
    pastern += [_along(pastern[1], PASTERN_DEG, 58), _along(pastern[0], PASTERN_DEG, 56)]
    shapes: tuple[tuple[list[Xy], int], ...] = (
        ([*sole, bulb, (skin[0] + 52, skin[1] - 34), (skin[0] + 44, skin[1]), skin, hairline], 62),
        ([tip, high, extensor, joint, (joint[0] + 4, joint[1] - 14), bone_heel], 205),
        (pastern, 190),
        ([(10.5, 20.0), (13.5, 20.0), (13.5, 20.0 + MARKER_MM), (10.5, 20.0 + MARKER_MM)], 250),
    )
    for shape, grey in shapes:
        draw.polygon([_px(place) for place in shape], fill=grey)
    kept = io.BytesIO()
    image.filter(ImageFilter.GaussianBlur(2)).convert("RGB").save(kept, "JPEG", quality=85)
    return FilmPicture(kept.getvalue(), {name: _px(place) for name, place in places.items()})


def _along(start: Xy, angle_deg: float, length_mm: float) -> Xy:
    turn = math.radians(angle_deg)
    return start[0] + length_mm * math.cos(turn), start[1] + length_mm * math.sin(turn)


def _px(place: Xy) -> Xy:
    return round(place[0] * PX_A_MM, 1), round(GROUND_PX - place[1] * PX_A_MM, 1)
