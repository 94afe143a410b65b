"""Finds the printed card on a picture: which card it is, and its square's corners to a part of a pixel."""

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from measurements.hoof.pictures.card_codes import CARDS, CELLS, SIDE_CELLS, code_cells
from measurements.hoof.pictures.card_edges import (
    Array,
    edges_fitted,
    grey_at,
    square_to_picture,
    through,
)
from measurements.hoof.pictures.card_face import square_cells

Grey = npt.NDArray[np.uint8]

# House defaults, chosen on rendered pictures (tests/bench/pictures/cards.py).
SMALL_SIDE_PX = 1400  # a large picture is searched at about this long edge first, then as it is
SOFT_SD_PX = (
    0.8,
    3.0,
)  # a soft picture is sharpened before it is searched again: what lies between
SHARPER = 2.5  # these two blurs is made so many times stronger
WRONG_CELLS = 3  # of 36 that the search may correct; two cards differ in 11 at least
LEAST_SIDE_PX = 24.0
LEAST_SEEN = 0.93  # of the places on the edges; three wrong cells cost more
MOST_RESIDUAL_CELLS = 0.12  # the SD of single places about the fit
# Error of a corner along each axis, SD: a part that every picture has, and one for paper that is not
# quite flat (half a millimetre of curl, seen 15 degrees from the side, is 0.06 mm). House defaults.
CORNER_SD_PX, CORNER_SD_SHARE = 0.08, 0.001
LEAST_LIKENESS = 0.75  # correlation of the cells' grey with what the card should show


@dataclass(frozen=True)
class FoundCard:
    """A card on a picture.

    `corners_px`, shape (4, 2): the outer corners of the black square, (x, y) in pixels where (0, 0) is
    the centre of the first pixel, clockwise from the square's own top left as printed (a card that
    stands on its head has that corner at its bottom right). On a `mirrored` picture they run the other
    way round, still from the square's own top left. `corner_sd_px` is the error of a corner.
    """

    number: int
    corners_px: Array
    mirrored: bool
    corner_sd_px: float

    @property
    def side_px(self) -> float:
        """The mean length of the four sides."""
        sides = np.roll(self.corners_px, -1, axis=0) - self.corners_px
        return float(np.linalg.norm(sides, axis=1).mean())


def card_find(grey: Grey) -> FoundCard | None:
    """The card on a picture of grey values, shape (rows, columns); the largest where there are several.

    None when no card is there. Raises ValueError for an array of another shape or type.
    """
    if grey.ndim != 2 or grey.dtype != np.uint8:
        raise ValueError("a picture of grey values has two dimensions of eight bits")
    if min(grey.shape) < LEAST_SIDE_PX:
        return None
    for step, sharper in _looks(max(grey.shape)):
        rough = _rough(_seen(grey, step, sharper), grey.shape)
        found = [card for each in rough if (card := _proved(grey, *each))]
        if found:
            return max(found, key=lambda card: card.side_px)
    return None


def _looks(long_side_px: int) -> list[tuple[int, bool]]:
    """How the picture is searched, the cheapest first: made smaller by a step, and sharpened."""
    step = max(1, round(long_side_px / SMALL_SIDE_PX))
    whole = [(step, False)] if step == 1 else [(step, False), (1, False)]
    return [*whole, (step, True), (2 * step, True), *([(1, True)] if step > 1 else [])]


def _seen(grey: Grey, step: int, sharper: bool) -> Grey:
    import cv2  # a third of a second to load: only where pictures are searched

    if step > 1:
        size = (grey.shape[1] // step, grey.shape[0] // step)
        grey = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    if not sharper:
        return grey
    fine, coarse = (cv2.GaussianBlur(grey, (0, 0), sd).astype(np.float32) for sd in SOFT_SD_PX)
    return np.clip(fine + SHARPER * (fine - coarse), 0, 255).astype(np.uint8)


def _rough(seen: Grey, whole: tuple[int, ...]) -> list[tuple[int, Array]]:
    """What the library takes for a card's square: its code, and its corners to a pixel or two, in
    pixels of the whole picture."""
    corners, codes, _ = _detector().detectMarkers(seen)
    if codes is None:
        return []
    scale = np.array([whole[1] / seen.shape[1], whole[0] / seen.shape[0]])
    return [
        (int(code), (np.asarray(four, dtype=float).reshape(4, 2) + 0.5) * scale - 0.5)
        for four, code in zip(corners, np.ravel(codes), strict=True)
    ]


@cache
def _detector() -> Any:
    import cv2

    cells = [code_cells(number) for number in range(1, CARDS + 1)]
    cells += [np.ascontiguousarray(code[:, ::-1]) for code in cells]  # as a mirror shows them
    rows = [cv2.aruco.Dictionary.getByteListFromBits(code) for code in cells]
    codes = cv2.aruco.Dictionary(np.concatenate(rows), CELLS, WRONG_CELLS)
    told = cv2.aruco.DetectorParameters()
    told.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    told.errorCorrectionRate = 1.0
    # Only a cell's middle counts: on a soft picture white runs over into its black neighbours.
    told.perspectiveRemovePixelPerCell, told.perspectiveRemoveIgnoredMarginPerCell = 8, 0.33
    told.minMarkerPerimeterRate = 0.02
    told.adaptiveThreshWinSizeMin, told.adaptiveThreshWinSizeMax = 5, 45
    told.adaptiveThreshWinSizeStep = 10
    return cv2.aruco.ArucoDetector(codes, told)


def _proved(grey: Grey, code: int, rough_px: Array) -> FoundCard | None:
    """The card where its every edge is seen and its cells look as printed; else None."""
    mirrored, number = code >= CARDS, code % CARDS + 1
    cells = square_cells(number)
    if mirrored:
        cells = np.ascontiguousarray(cells[:, ::-1])
    fit = edges_fitted(grey, rough_px, cells)
    if fit is None or fit.seen < LEAST_SEEN or not np.isfinite(fit.corners_px).all():
        return None
    corners = fit.corners_px
    if mirrored:  # told from the printed square's own top left
        corners = corners[[1, 0, 3, 2]]
    card = FoundCard(number, corners, mirrored, 0.0)
    cell_px = card.side_px / SIDE_CELLS
    if card.side_px < LEAST_SIDE_PX or fit.residual_px > MOST_RESIDUAL_CELLS * cell_px + 0.3:
        return None
    if _likeness(grey, fit.corners_px, cells) < LEAST_LIKENESS:
        return None
    sd = math.hypot(CORNER_SD_PX, fit.residual_px / 4, CORNER_SD_SHARE * card.side_px)
    return replace(card, corner_sd_px=sd)


def _likeness(grey: Grey, corners_px: Array, cells: npt.NDArray[np.uint8]) -> float:
    """Correlation of what each cell shows with what it should, the white rim of paper included."""
    padded = np.pad(cells.astype(float), 1, constant_values=1.0)
    row, column = np.indices(padded.shape) - 0.5
    middles = np.stack([column.ravel(), row.ravel()], axis=1)
    total = np.zeros(len(middles))
    homography = square_to_picture(corners_px)
    for du, dv in ((0, 0), (0.2, 0), (-0.2, 0), (0, 0.2), (0, -0.2)):
        at = through(homography, middles + (du, dv))
        total += grey_at(grey, at[:, 0], at[:, 1])
    return float(np.corrcoef(total, padded.ravel())[0, 1])
