"""Ways to find a square on a picture, to be compared: each with the card's face that it reads."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from measurements.hoof.pictures import card_find as ours
from measurements.hoof.pictures.card_codes import code_cells
from measurements.hoof.pictures.card_edges import edges_fitted, grey_at
from measurements.hoof.pictures.card_face import (
    FACE_HEIGHT_MM,
    FACE_WIDTH_MM,
    SIDE_MM,
    SQUARE_LEFT_MM,
    SQUARE_TOP_MM,
)
from tests.hoof.pictures.rendered import CARD_PX_PER_MM

Array = npt.NDArray[np.float64]
Grey = npt.NDArray[np.uint8]


@dataclass(frozen=True)
class Reader:
    """`face`: grey values of the whole card's face, or None for the printed card's own."""

    name: str
    read: Callable[[Grey], Array | None]
    face: Array | None = None


def readers() -> Iterator[Reader]:
    yield Reader("library, corners of its outline", _library(cv2.aruco.CORNER_REFINE_NONE))
    yield Reader("library, search round each corner", _library(cv2.aruco.CORNER_REFINE_SUBPIX))
    yield Reader("library, lines along its outline", _library(cv2.aruco.CORNER_REFINE_CONTOUR))
    yield Reader("library, then lines through four edges", _four_edges)
    yield Reader("library, then every edge and the shift: ours", _ours)
    try:
        import zxingcpp
    except ImportError:
        return
    for name, code in (("QR Code", "CARD 1"), ("Micro QR Code", "1"), ("Data Matrix", "1")):
        square = _framed(zxingcpp, name.replace(" ", ""), code)
        if square is None:
            continue
        cells, inner = square
        for way, fit in (("four edges", None), ("every edge", cells.astype(np.uint8))):
            read = _barcode(zxingcpp, inner, fit)
            yield Reader(f"barcode reader, {name}, {way}", read, _face_of(cells))


def _ours(grey: Grey) -> Array | None:
    card = ours.card_find(grey)
    return None if card is None else card.corners_px


def _library(refine: int) -> Callable[[Grey], Array | None]:
    told = cv2.aruco.DetectorParameters()
    told.cornerRefinementMethod = refine
    told.minMarkerPerimeterRate = 0.02
    code = cv2.aruco.Dictionary.getByteListFromBits(code_cells(1))
    detector = cv2.aruco.ArucoDetector(cv2.aruco.Dictionary(code, 6, 5), told)

    def read(grey: Grey) -> Array | None:
        corners, codes, _ = detector.detectMarkers(grey)
        return None if codes is None else np.asarray(corners[0], dtype=float).reshape(4, 2)

    return read


def _four_edges(grey: Grey) -> Array | None:
    rough = _library(cv2.aruco.CORNER_REFINE_NONE)(grey)
    return None if rough is None else through_lines(grey, rough)


def through_lines(grey: Grey, corners: Array, rounds: int = 3) -> Array | None:
    """Lines through the four outer edges, each where the grey is half way; and where they cross."""
    for _ in range(rounds):
        lines = []
        for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            length = float(np.linalg.norm(end - start))
            normal = np.array([end[1] - start[1], start[0] - end[0]]) / length  # outwards
            reach = min(0.06 * length, 8.0)
            at = start + np.linspace(0.08, 0.92, 40)[:, None] * (end - start)
            along = np.linspace(-reach, reach, 25)
            x, y = (at[:, None, i] + along * normal[i] for i in (0, 1))
            part = grey_at(grey, x, y)
            black, white = part[:, :5].mean(1), part[:, -5:].mean(1)
            if np.median(white - black) < 10:
                return None
            share = np.clip((part - black[:, None]) / np.maximum(white - black, 1)[:, None], 0, 1)
            edge = at + ((0.5 - share.mean(1)) * 2 * reach)[:, None] * normal
            keep = np.abs(edge - np.median(edge - at, 0) - at).max(1) < reach
            middle = edge[keep].mean(0)
            direction = np.linalg.svd(edge[keep] - middle)[2][0]
            lines.append((middle, direction))
        crossed = [_crossing(lines[i - 1], lines[i]) for i in range(4)]
        corners = np.array(crossed)
    return corners if np.isfinite(corners).all() else None


def _crossing(one: tuple[Array, Array], other: tuple[Array, Array]) -> Array:
    (p, a), (q, b) = one, other
    steps = np.linalg.lstsq(np.stack([a, -b], axis=1), q - p, rcond=None)[0]
    return np.asarray(p + steps[0] * a)


# -- a barcode inside a black frame, which gives the edges that a barcode itself has not


def _framed(library: Any, kind: str, text: str) -> tuple[npt.NDArray[np.bool_], float] | None:
    """Such a code's cells in its frame, True where white, and the code's part of the frame's side."""
    try:
        code = library.create_barcode(text, getattr(library.BarcodeFormat, kind))
        cells = np.asarray(code.to_image(scale=1, add_quiet_zones=False)) > 127
    except (AttributeError, ValueError):
        return None
    quiet = {"QRCode": 4, "MicroQRCode": 2, "DataMatrix": 1}[kind]
    square = np.pad(np.pad(cells, quiet, constant_values=True), 1, constant_values=False)
    return square, len(cells) / len(square)


def _face_of(square: npt.NDArray[np.bool_]) -> Array:
    n = len(square)
    shape = round(FACE_HEIGHT_MM * CARD_PX_PER_MM), round(FACE_WIDTH_MM * CARD_PX_PER_MM)
    face, side = np.full(shape, 255.0), round(SIDE_MM * CARD_PX_PER_MM)
    at = (np.arange(side) * n // side).clip(0, n - 1)
    top, left = (round(mm * CARD_PX_PER_MM) for mm in (SQUARE_TOP_MM, SQUARE_LEFT_MM))
    face[top : top + side, left : left + side] = np.where(square[np.ix_(at, at)], 255.0, 0.0)
    return face


def _barcode(
    library: Any, inner: float, cells: npt.NDArray[np.uint8] | None
) -> Callable[[Grey], Array | None]:
    def read(grey: Grey) -> Array | None:
        found = library.read_barcodes(grey)
        if not found:
            return None
        place = found[0].position
        names = (place.top_left, place.top_right, place.bottom_right, place.bottom_left)
        code = np.array([(point.x, point.y) for point in names], dtype=float)
        middle = code.mean(0)
        rough = through_lines(grey, middle + (code - middle) / inner)
        if rough is None or cells is None:
            return rough
        fit = edges_fitted(grey, rough, cells)
        return None if fit is None else fit.corners_px

    return read
