"""A file of points: names to places on a picture, as scripts write it."""

import json
import math
from typing import Any

Points = dict[str, tuple[float, float]]
MOST_BYTES = 1_000_000  # house default: eight points take a few hundred


class BadPoints(ValueError):
    """The file cannot serve; the message says why."""


def points_read(data: bytes, known: tuple[str, ...]) -> Points:
    """The points of a JSON object `{"name": [x, y]}`; null where one was not placed.

    Raises BadPoints for what is no such file, and for a name that this view does not have.
    """
    if len(data) > MOST_BYTES:
        raise BadPoints("This file of points is too large.")
    try:
        said = json.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError) as error:
        raise BadPoints(f"The file of points is not JSON: {error}.") from None
    if not isinstance(said, dict):
        raise BadPoints('The points must be one JSON object: {"ground_toe": [x, y], ...}.')
    if unknown := [name for name in said if name not in known]:
        raise BadPoints(f"No such point: {', '.join(unknown)[:200]}. Known: {', '.join(known)}.")
    return {name: _place(name, place) for name, place in said.items() if place is not None}


def _place(name: str, place: Any) -> tuple[float, float]:
    if isinstance(place, list) and len(place) == 2 and all(_is_number(each) for each in place):
        x, y = (float(each) for each in place)
        if math.isfinite(x) and math.isfinite(y):
            return x, y
    raise BadPoints(f"{name} must be two numbers, [x, y], in pixels.")


def _is_number(value: Any) -> bool:
    # Whole numbers of hundreds of digits are numbers to JSON and too large for a place.
    return isinstance(value, float) or (type(value) is int and abs(value) < 10**9)


def turned_upright(points: Points, orientation: int, size_px: tuple[int, int]) -> Points:
    """Points read off the file as it is stored, where they lie once it is turned as its data say.

    `orientation` is the EXIF value 1 to 8, `size_px` the upright width and height. Pixels: (0, 0) is
    the centre of the first. (EXIF 2.3, tag 0x0112.)
    """
    right, bottom = size_px[0] - 1, size_px[1] - 1

    def turned(x: float, y: float) -> tuple[float, float]:
        return {
            1: (x, y),
            2: (right - x, y),
            3: (right - x, bottom - y),
            4: (x, bottom - y),
            5: (y, x),
            6: (right - y, x),
            7: (right - y, bottom - x),
            8: (y, bottom - x),
        }[orientation]

    return {name: turned(*place) for name, place in points.items()}


def outside(points: Points, size_px: tuple[int, int]) -> list[str]:
    """The names of points that lie off the picture. Half a pixel of the rim still belongs to it."""
    width, height = size_px
    return [name for name, (x, y) in points.items() if not (-1 <= x <= width and -1 <= y <= height)]
