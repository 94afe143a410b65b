"""The printed card that makes a picture measurable: two to a page, or one face as a picture.

Each card is one strip, folded three times: its back leans from the face's top to the end of the base,
so that with these three lengths the face stands upright. Lengths in mm.
"""

import io
import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from django.template.loader import render_to_string
from PIL import Image, ImageDraw, ImageFont

from caseboard.lib.pdf.parent import PAGE_SIZES, Paper, html_to_pdf
from caseboard.lib.photo import HOME
from measurements.hoof.pictures.card_codes import CARDS, SIDE_CELLS
from measurements.hoof.pictures.card_face import (
    FACE_HEIGHT_MM,
    FACE_WIDTH_MM,
    SIDE_MM,
    SQUARE_LEFT_MM,
    SQUARE_TOP_MM,
    FaceDrawn,
    face_drawn,
    white_runs,
)

MM_PER_INCH = 25.4
LEAST_DPI, MOST_DPI = 30, 1200
PAGE_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
TAB_MM, BASE_MM = 12.0, 50.0  # house defaults
BACK_MM = math.hypot(FACE_HEIGHT_MM, BASE_MM)  # face and base stand at a right angle
GUTTER_MM = 14.0  # between the two strips: the ruler
RULER_MM = 100
WORDS_IN_MM = 5.5  # from the edge of the back
FONT = HOME / "caseboard/static/fonts/atkinson-hyperlegible-latin-700-normal.woff2"
# Where the words stand below the square: top and height of the letters.
WORDS_TOP_MM, WORDS_MM = 75.5, 4.2


def card_words(number: int) -> tuple[str, str]:
    """What stands on the face below the square: which card, and how large its square is."""
    return f"Card {number}", f"{SIDE_MM:.0f} mm"


def card_picture(number: int, *, dpi: float) -> tuple[Image.Image, FaceDrawn]:
    """One card's face in grey. Raises ValueError for another number or too few or many dots."""
    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise ValueError(f"choose from {LEAST_DPI} to {MOST_DPI} dots an inch")
    scale = dpi / MM_PER_INCH
    face = face_drawn(number, px_per_mm=scale)
    picture = Image.fromarray(np.round(face.grey).astype(np.uint8))
    draw, font = ImageDraw.Draw(picture), ImageFont.truetype(FONT, WORDS_MM * scale)
    left, right = card_words(number)
    top = WORDS_TOP_MM * scale
    draw.text((SQUARE_LEFT_MM * scale, top), left, fill=0, font=font)
    draw.text(((SQUARE_LEFT_MM + SIDE_MM) * scale, top), right, fill=0, font=font, anchor="ra")
    return picture, face


def card_png(number: int, *, dpi: float) -> tuple[bytes, FaceDrawn]:
    """The same as the bytes of a PNG that prints at its true size."""
    picture, face = card_picture(number, dpi=dpi)
    out = io.BytesIO()
    picture.save(out, format="PNG", dpi=(dpi, dpi), optimize=True)
    return out.getvalue(), face


@dataclass(frozen=True)
class Strip:
    """One card as printed: where it lies on the page, where the words on its back begin, its square."""

    number: int
    left_mm: float
    top_mm: float
    words_left_mm: float
    words_top_mm: float
    words: tuple[str, str]
    white: tuple[tuple[float, float, float], ...]  # x, y, width of white runs over the black square


@cache
def card_pdf(first: int, paper: Paper) -> bytes:
    """Two cards, numbered from `first`, as one page. Kept: it is the same for everybody.

    Raises ValueError for a number that no card has, PdfUnavailable and PdfFailed as every paper.
    """
    return html_to_pdf(card_html(first, paper), paper=paper)


def card_html(first: int, paper: Paper) -> str:
    width, height = PAGE_MM[paper]
    length = TAB_MM + BACK_MM + FACE_HEIGHT_MM + BASE_MM
    left, top = (width - 2 * FACE_WIDTH_MM - GUTTER_MM) / 2, (height - length) / 2
    second = first % CARDS + 1
    strips = [
        _strip(first, left, top),
        _strip(second, left + FACE_WIDTH_MM + GUTTER_MM, top),
    ]
    context = {
        "strips": strips,
        "page_size": PAGE_SIZES[paper],
        "page": (width, height),
        "cell": SIDE_MM / SIDE_CELLS,
        "side": SIDE_MM,
        "square": (SQUARE_LEFT_MM, SQUARE_TOP_MM),
        "words_y": WORDS_TOP_MM + WORDS_MM,
        "face": (FACE_WIDTH_MM, FACE_HEIGHT_MM),
        "back_from": TAB_MM,
        "face_from": TAB_MM + BACK_MM,
        "base_from": TAB_MM + BACK_MM + FACE_HEIGHT_MM,
        "length": length,
        "base": BASE_MM,
        "ruler": {
            "x": width / 2,
            "top": (height - RULER_MM) / 2,
            "bottom": (height + RULER_MM) / 2,
            "mm": RULER_MM,
            "marks": [
                ((height - RULER_MM) / 2 + mm, width / 2 + _mark_mm(mm))
                for mm in range(0, RULER_MM + 1, 5)
            ],
        },
    }
    return render_to_string("caseboard/picture_card_print.html", context)


def _mark_mm(mm: int) -> float:
    """How long a mark of the ruler is: those of ten and fifty are counted by."""
    return 4.0 if mm % 50 == 0 else 2.5 if mm % 10 == 0 else 1.5


def _strip(number: int, left: float, top: float) -> Strip:
    cell = SIDE_MM / SIDE_CELLS
    white = tuple(
        (SQUARE_LEFT_MM + column * cell, SQUARE_TOP_MM + row * cell, columns * cell)
        for row, column, columns in white_runs(number)
    )
    words = left + WORDS_IN_MM, top + TAB_MM + WORDS_IN_MM
    return Strip(number, left, top, *words, card_words(number), white)
