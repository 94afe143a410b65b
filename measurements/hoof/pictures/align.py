"""Two pictures of one foot brought to the same ground line and scale.

A similarity: turn, scale, shift, and a mirror where one was taken from the inside and the other from
the outside. It does not undo perspective; for that there are the values measured on the picture.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float]
# Below this many pixels between toe and heel the direction of the ground is anybody's guess: taps of
# 2 px would turn the picture by 2 * sqrt(2) / 100, some 1.6 degrees. House default.
LEAST_GROUND_PX = 100.0


class CannotAlign(ValueError):
    """The points of one of them do not say where the ground is."""


@dataclass(frozen=True)
class Grounded:
    """Where a foot stands on a picture, in pixels, y downwards.

    `mm_per_px` in the plane of the foot, by its card; none: no card.
    """

    ground_toe: Point
    ground_heel: Point
    mm_per_px: float | None = None

    @property
    def ground_px(self) -> float:
        return math.dist(self.ground_toe, self.ground_heel)


@dataclass(frozen=True)
class Similarity:
    """x' = a x + c y + e, y' = b x + d y + f: the six numbers of an SVG matrix, in its order."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float
    mirrored: bool
    by_card: bool  # the scale is both cards'; otherwise the ground length is taken for the same

    @property
    def scale(self) -> float:
        return math.hypot(self.a, self.b)

    def on(self, point: Point) -> Point:
        x, y = point
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f


def mm_per_px(card_corners: Sequence[Sequence[float]], card_mm: float) -> float:
    """By the mean of the square's four sides, in pixels: within 2 % for a card turned up to 15
    degrees (cosine of the turn, on two of the four sides). Raises CannotAlign for no square."""
    if len(card_corners) != 4 or not card_mm > 0:
        raise CannotAlign("not the four corners of a card")
    pairs = zip(card_corners, [*card_corners[1:], card_corners[0]], strict=True)
    side_px = sum(math.dist(one, other) for one, other in pairs) / 4
    if side_px < 1:
        raise CannotAlign("the card has no size")
    return card_mm / side_px


def onto(then: Grounded, now: Grounded) -> Similarity:
    """Brings the picture `then` onto `now`: toe on toe, ground along ground, the same scale.

    Raises CannotAlign where toe and heel lie too near each other on one of them.
    """
    if min(then.ground_px, now.ground_px) < LEAST_GROUND_PX:
        raise CannotAlign("toe and heel lie too near each other")
    by_card = then.mm_per_px is not None and now.mm_per_px is not None
    if then.mm_per_px is not None and now.mm_per_px is not None:
        scale = then.mm_per_px / now.mm_per_px
    else:
        scale = now.ground_px / then.ground_px
    mirrored = _heel_is_right(then) is not _heel_is_right(now)
    flip = -1.0 if mirrored else 1.0
    turn = _direction(now) - _direction(then, flip)
    a, b = scale * math.cos(turn), scale * math.sin(turn)
    x, y = flip * then.ground_toe[0], then.ground_toe[1]
    e = now.ground_toe[0] - (a * x - b * y)
    f = now.ground_toe[1] - (b * x + a * y)
    return Similarity(a * flip, b * flip, -b, a, e, f, mirrored, by_card)


def _heel_is_right(grounded: Grounded) -> bool:
    return grounded.ground_heel[0] >= grounded.ground_toe[0]


def _direction(grounded: Grounded, flip: float = 1.0) -> float:
    (x0, y0), (x1, y1) = grounded.ground_toe, grounded.ground_heel
    return math.atan2(y1 - y0, flip * (x1 - x0))
