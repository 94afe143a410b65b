"""Where the card's square lies to a part of a pixel: every edge between its cells pulls on the fit.

A lens blurs light and the camera then brightens the half dark: so black shrinks by up to a pixel and a
half on a soft picture, and ink that runs makes it grow. On the outer edge alone that cannot be told
from a smaller or larger card. Inside, white cells grow by as much as black ones shrink, so the shift is
found together with the square's place, and taken out.

Decided 2026-11: the roads not taken, in tests/bench/pictures/FIGURES.md with their errors: a search
round each corner alone (a soft corner is rounded inwards), and lines through the four outer edges
(wrong by the shift).
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from measurements.hoof.pictures.card_codes import SIDE_CELLS

Array = npt.NDArray[np.float64]

# House defaults, chosen on rendered pictures (tests/bench/pictures/cards.py).
PLACES = np.array([0.2, 0.35, 0.5, 0.65, 0.8])  # along a cell's side, off its corners
REACH_CELLS, MOST_REACH_PX = 0.5, 12.0  # how far from an edge is looked
STEPS = 25
ROUNDS = 4
SHIFT_SD_PX = (
    1.0  # what a shift of the edges is before it is seen: a pixel at most on good pictures
)
OUTLIER_SDS = 2.0  # beyond it a place pulls less (Huber)
LEAST_CONTRAST = 12.0  # grey values between white and black at an edge


@dataclass(frozen=True)
class Fitted:
    """The square's outer corners in pixels, shape (4, 2), clockwise from its own top left; how far
    black has shrunk into itself on the picture; the SD of single places about the fit; how many of
    the places were seen (0 to 1)."""

    corners_px: Array
    shrunk_px: float
    residual_px: float
    seen: float


def square_to_picture(corners_px: Array, side_cells: int = SIDE_CELLS) -> Array:
    """The 3 x 3 homography that takes a square, in cells from its top left corner, to pixels.

    Raises ValueError when the corners do not span a quadrilateral.
    """
    n = float(side_cells)
    rows = []
    for (u, v), (x, y) in zip([(0, 0), (n, 0), (n, n), (0, n)], corners_px, strict=True):
        rows.append([u, v, 1, 0, 0, 0, -x * u, -x * v])
        rows.append([0, 0, 0, u, v, 1, -y * u, -y * v])
    try:
        h = np.linalg.solve(np.array(rows), np.asarray(corners_px).ravel())
    except np.linalg.LinAlgError:
        raise ValueError("these four corners do not span a square") from None
    return np.append(h, 1.0).reshape(3, 3)


def through(homography: Array, points: Array) -> Array:
    """Points (n, 2) taken through a homography."""
    moved = np.column_stack([points, np.ones(len(points))]) @ homography.T
    return np.asarray(moved[:, :2] / moved[:, 2:])


def grey_at(grey: npt.NDArray[np.uint8], x: Array, y: Array) -> Array:
    """Grey values between the pixels; outside the picture those of its rim."""
    rows, columns = grey.shape
    x, y = np.clip(x, 0, columns - 1.001), np.clip(y, 0, rows - 1.001)
    i, j = x.astype(np.intp), y.astype(np.intp)
    a, b = x - i, y - j
    top = grey[j, i] * (1 - a) + grey[j, i + 1] * a
    below = grey[j + 1, i] * (1 - a) + grey[j + 1, i + 1] * a
    return np.asarray(top * (1 - b) + below * b)


def edges_fitted(
    grey: npt.NDArray[np.uint8], corners_px: Array, cells: npt.NDArray[np.uint8]
) -> Fitted | None:
    """The square fitted to the picture from rough corners; None where its edges are not seen.

    `grey` has shape (rows, columns), `cells` (n, n) with 1 for white as on the card. Pixels: (0, 0) is
    the centre of the first.
    """
    places, to_black = _edge_places(cells)
    corners = np.asarray(corners_px, dtype=float)
    shrunk = residual = seen = 0.0
    for _ in range(ROUNDS):
        try:
            homography = square_to_picture(corners, len(cells))
        except ValueError:
            return None
        at, normal, reach = _on_picture(homography, places, to_black)
        offset, contrast = _offsets(grey, at, normal, reach)
        good = contrast > LEAST_CONTRAST
        seen = float(good.mean())
        if good.sum() < 40:
            return None
        slope = _corner_slopes(corners, places[good], normal[good], len(cells))
        move, shrunk, residual = _solved(slope, offset[good])
        corners = corners + move
        if not np.isfinite(corners).all() or np.abs(move).max() > 4 * MOST_REACH_PX:
            return None
    return Fitted(corners, shrunk, residual, seen)


def _edge_places(cells: npt.NDArray[np.uint8]) -> tuple[Array, Array]:
    """Places on the edges between white and black, in cells, and the way into the black there."""
    padded = np.pad(cells.astype(int), 1, constant_values=1)  # white paper round the square
    places: list[tuple[float, float]] = []
    ways: list[tuple[float, float]] = []
    for row in range(len(padded)):
        for column in range(len(padded)):
            here = padded[row, column]
            if column < len(padded) - 1 and here != padded[row, column + 1]:
                way = 1.0 if here else -1.0
                places += [(float(column), row - 1 + t) for t in PLACES]
                ways += [(way, 0.0)] * len(PLACES)
            if row < len(padded) - 1 and here != padded[row + 1, column]:
                way = 1.0 if here else -1.0
                places += [(column - 1 + t, float(row)) for t in PLACES]
                ways += [(0.0, way)] * len(PLACES)
    return np.array(places), np.array(ways)


def _on_picture(homography: Array, places: Array, to_black: Array) -> tuple[Array, Array, Array]:
    """The places in pixels, the unit normal into the black, and how far to look each way."""
    at = through(homography, places)
    along = np.stack([-to_black[:, 1], to_black[:, 0]], axis=1)
    tangent = through(homography, places + 0.05 * along) - through(
        homography, places - 0.05 * along
    )
    across = through(homography, places + 0.05 * to_black) - through(
        homography, places - 0.05 * to_black
    )
    normal = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-12
    depth = (normal * across).sum(axis=1)
    normal *= np.sign(depth)[:, None]
    return at, normal, np.minimum(np.abs(depth) * 10 * REACH_CELLS, MOST_REACH_PX)


def _offsets(
    grey: npt.NDArray[np.uint8], at: Array, normal: Array, reach: Array
) -> tuple[Array, Array]:
    """How far into the black each edge lies from where it was thought, in pixels; and its contrast.

    The white part of the line across the edge tells, which noise moves less than a single crossing.
    """
    along = np.linspace(-1, 1, STEPS) * reach[:, None]
    line = grey_at(grey, at[:, :1] + along * normal[:, :1], at[:, 1:] + along * normal[:, 1:])
    ends = STEPS // 5
    white, black = line[:, :ends].mean(axis=1), line[:, -ends:].mean(axis=1)
    contrast = white - black
    part = (line - black[:, None]) / np.maximum(contrast, 1e-6)[:, None]
    # The trapezoid rule over the line: a step exactly in the middle gives one half.
    weights = np.ones(STEPS)
    weights[[0, -1]] = 0.5
    mean = np.clip(part, -0.3, 1.3) @ weights / weights.sum()
    return (2 * mean - 1) * reach, contrast


def _corner_slopes(corners: Array, places: Array, normal: Array, side_cells: int) -> Array:
    """How each place moves along its normal when a corner's x or y does, shape (n, 8)."""
    step = 0.01
    base = through(square_to_picture(corners, side_cells), places)
    columns = []
    for index in range(8):
        moved = corners.copy()
        moved.flat[index] += step
        shifted = through(square_to_picture(moved, side_cells), places) - base
        columns.append((shifted * normal).sum(axis=1) / step)
    return np.stack(columns, axis=1)


def _solved(slope: Array, offset: Array) -> tuple[Array, float, float]:
    """Least squares for the corners and the shift together; places far off pull less."""
    design = np.column_stack([slope, np.ones(len(offset))])
    weight = np.ones(len(offset))
    sd = 1.0
    for _ in range(4):
        held = design * weight[:, None]
        normal_matrix = design.T @ held
        normal_matrix[8, 8] += (sd / SHIFT_SD_PX) ** 2
        normal_matrix[np.diag_indices(8)] += 1e-9
        found = np.linalg.solve(normal_matrix, held.T @ offset)
        left = offset - design @ found
        sd = max(1.4826 * float(np.median(np.abs(left))), 0.02)
        weight = np.minimum(1.0, OUTLIER_SDS * sd / np.maximum(np.abs(left), 1e-9))
    return np.asarray(found[:8]).reshape(4, 2), float(found[8]), sd
