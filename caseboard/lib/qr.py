"""A QR code as one SVG path."""

from dataclasses import dataclass

import segno


@dataclass(frozen=True)
class QrDrawing:
    """`path`, a line one square wide, in units of one square; `size` squares a side, without the quiet zone."""

    path: str
    size: int


def qr_drawing(text: str) -> QrDrawing:
    code = segno.make(text, error="m", micro=False)
    return QrDrawing(qr_path(code), len(code.matrix))


def qr_path(qr: segno.QRCode) -> str:
    """The dark squares as one SVG path to be drawn with a line one unit wide; a run is one line."""
    parts = []
    for y, row in enumerate(qr.matrix):
        x = 0
        while x < len(row):
            run = 0
            while x + run < len(row) and row[x + run]:
                run += 1
            if run:
                parts.append(f"M{x} {y}.5h{run}")
            x += run + 1
    return "".join(parts)
