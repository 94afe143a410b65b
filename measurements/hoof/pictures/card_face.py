"""The face of the card that the camera sees, in millimetres: where the black square lies on it."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from measurements.hoof.pictures.card_codes import BORDER_CELLS, SIDE_CELLS, code_cells

SIDE_MM = 60.0  # house default: two cards to a page, and 60 px at 3 m on a picture of 4,000 px
# House defaults: white round the square is at least one cell, so that its edge stands out anywhere.
FACE_WIDTH_MM, FACE_HEIGHT_MM = 90.0, 90.0
SQUARE_LEFT_MM, SQUARE_TOP_MM = 15.0, 10.0  # below the square stand a few words

WHITE, BLACK = 255.0, 0.0


@dataclass(frozen=True)
class FaceDrawn:
    """A face in pixels: grey values, shape (rows, columns), and the square's outer corners as (x, y).

    Corners run clockwise from the square's own top left, in pixels where (0, 0) is the centre of the
    first pixel, shape (4, 2).
    """

    grey: npt.NDArray[np.float64]
    corners_px: npt.NDArray[np.float64]


def square_cells(number: int) -> npt.NDArray[np.uint8]:
    """The whole square with its black border, shape (8, 8), 1 where a cell is white."""
    return np.pad(code_cells(number), BORDER_CELLS)


def white_runs(number: int) -> list[tuple[int, int, int]]:
    """The white cells as (row, first column, columns), to be drawn over a black square."""
    runs = []
    for row, cells in enumerate(square_cells(number)):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], cells, [0]))))
        runs += [(row, int(a), int(b - a)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    return runs


def face_drawn(number: int, *, px_per_mm: float) -> FaceDrawn:
    """The face without its words. Each pixel is as grey as the part of it that is black.

    Edges between pixels are so kept to a small part of a pixel. Raises ValueError for a number that
    no card has, or for a square smaller than two pixels a cell.
    """
    if SIDE_MM * px_per_mm < 2 * SIDE_CELLS:
        raise ValueError("too few dots for the square")
    columns, rows = round(FACE_WIDTH_MM * px_per_mm), round(FACE_HEIGHT_MM * px_per_mm)
    left, top = SQUARE_LEFT_MM * px_per_mm, SQUARE_TOP_MM * px_per_mm
    side = SIDE_MM * px_per_mm
    lines = np.arange(SIDE_CELLS + 1) / SIDE_CELLS * side
    across = _covered(left + lines, columns)  # (8, columns): how much of each pixel lies in a cell
    down = _covered(top + lines, rows)
    black = 1.0 - square_cells(number)
    grey = WHITE - (WHITE - BLACK) * (down.T @ black @ across)
    corners = np.array(
        [(left, top), (left + side, top), (left + side, top + side), (left, top + side)]
    )
    return FaceDrawn(grey, corners - 0.5)


def _covered(edges: npt.NDArray[np.float64], pixels: int) -> npt.NDArray[np.float64]:
    at = np.arange(pixels)
    below = np.clip(edges[:, None] - at, 0.0, 1.0)  # the part of each pixel before each edge
    return np.asarray(np.diff(below, axis=0))
