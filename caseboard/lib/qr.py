"""A QR code as one SVG path."""

from dataclasses import dataclass

import segno


@dataclass(frozen=True)
class QrDrawing:
    """`path` in units of one square; `size` squares a side, without the quiet zone."""

    path: str
    size: int


def qr_drawing(text: str) -> QrDrawing:
    code = segno.make(text, error="m", micro=False)
    return QrDrawing(qr_path(code), len(code.matrix))


def qr_path(qr: segno.QRCode) -> str:
    """The dark squares as one SVG path, a unit a module; runs in a row are one rectangle."""
    parts = []
    for y, row in enumerate(qr.matrix):
        x = 0
        while x < len(row):
            run = 0
            while x + run < len(row) and row[x + run]:
                run += 1
            if run:
                parts.append(f"M{x} {y}h{run}v1h-{run}z")
            x += run + 1
    return "".join(parts)
