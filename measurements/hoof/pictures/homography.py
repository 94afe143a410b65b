"""The map from a flat thing to its picture: 3x3 matrices, from four corners.

Hartley & Zisserman, Multiple View Geometry 2nd ed., section 2.3 and 4.1 (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from measurements.hoof.pictures.measured import Card, Floats, Point, UnusablePicture

# Corners of a card of side 1 about its middle, as printed: right and down are positive.
UNIT_CORNERS: Floats = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])


def homography(flat: Floats, seen: Floats) -> Floats:
    """The 3x3 matrix that takes four flat points (mm) to where they are seen (px); h33 is 1.

    `flat`, `seen`: shape (4, 2), no three on a line. Raises `UnusablePicture`.
    """
    rows = []
    for (x, y), (u, v) in zip(flat, seen, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
    try:
        entries = np.linalg.solve(np.array(rows, dtype=np.float64), np.ravel(seen))
    except np.linalg.LinAlgError:
        raise UnusablePicture("The card's corners do not make a square.") from None
    return np.append(entries, 1.0).reshape(3, 3)


def mapped(matrix: Floats, points: Floats) -> Floats:
    """Points (..., 2) taken through a 3x3 matrix."""
    lifted = np.concatenate([points, np.ones((*points.shape[:-1], 1))], axis=-1)
    through = lifted @ matrix.T
    return through[..., :2] / through[..., 2:]


def card_to_picture(card: Card) -> Floats:
    """The homography of the card: mm about its middle (right, down) to px."""
    return homography(UNIT_CORNERS * card.side_mm, np.array(card.corners, dtype=np.float64))


def top_left(card: Card) -> int:
    """Which of the corners, as printed, stands top left on the picture."""
    along = [card.corners[(start + 1) % 4][0] - card.corners[start][0] for start in range(4)]
    return along.index(max(along))


def as_it_stands(card: Card) -> Card:
    """The card with its corners counted from the one that stands top left on the picture, on
    whichever edge it stands."""
    corners, first = card.corners, top_left(card)
    turned = [corners[(first + step) % 4] for step in range(4)]
    return replace(card, corners=(turned[0], turned[1], turned[2], turned[3]))


def in_order(corners: Sequence[Point]) -> list[Point]:
    """Corners of one square in whatever order they were tapped, clockwise as seen (y down)."""
    middle = np.mean(np.array(corners, dtype=np.float64), axis=0)
    return sorted(corners, key=lambda at: math.atan2(at[1] - middle[1], at[0] - middle[0]))


def is_convex(corners: Floats) -> bool:
    """Whether four corners go round clockwise as seen (y down), none folded in."""
    edges = np.roll(corners, -1, axis=0) - corners
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    return bool((turns > 0).all())
