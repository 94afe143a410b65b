"""The card on a picture that somebody sent: searched in a process of its own, within limits.

Decided 2026-11: OpenCV finds the square, and a fit of ours places its corners; the comparison with a
small barcode reader is in tests/bench/pictures/FIGURES.md. OpenCV takes 160 MB of disk; the reader
takes two and misses half of the small or soft squares. It is loaded in the child only: a server that
never searches a picture never loads it.
"""

import json
import threading
from dataclasses import dataclass

import numpy as np

from caseboard.lib.photo import (
    EMPTY,
    MAX_BYTES,
    MAX_PIXELS,
    TOO_HEAVY,
    PictureUnreadable,
    answer_of_child,
)
from measurements.hoof.pictures.card_find import FoundCard

# House defaults. Of address space, of which the libraries alone take a good part.
MEMORY_LIMIT_MB = 1536
TIME_LIMIT_S = 20  # of processor time; three times that by the clock, on a busy machine
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS")  # one each: more take memory and gain nothing


@dataclass(frozen=True)
class Searched:
    """A picture that was searched. Its size is that of the picture turned upright as its data say,
    and so are the card's corners; `orientation` is how it lies in the file (EXIF, 1 to 8)."""

    width_px: int
    height_px: int
    orientation: int
    card: FoundCard | None


def card_in_photo(data: bytes) -> FoundCard | None:
    """The card on a picture (the bytes of a JPEG, PNG, WebP or HEIC file), in pixels of the picture
    turned upright; None without one. Raises PictureUnreadable, with words for the person."""
    return photo_searched(data).card


def photo_searched(data: bytes) -> Searched:
    """The same with the picture's size. Raises PictureUnreadable, with words for the person."""
    if not data:
        raise PictureUnreadable(EMPTY)
    if len(data) > MAX_BYTES:
        raise PictureUnreadable(TOO_HEAVY)
    said = json.loads(_answer(data))
    card = said.pop("card")
    if card is not None:
        card = FoundCard(**{**card, "corners_px": np.array(card["corners_px"])})
    return Searched(**said, card=card)


_one_at_a_time = threading.Lock()


def _answer(data: bytes) -> bytes:
    limits = (MAX_PIXELS, MEMORY_LIMIT_MB, TIME_LIMIT_S)
    with _one_at_a_time:
        child = "measurements.pictures.card_child"
        return answer_of_child(child, data, limits, dict.fromkeys(THREADS, "1"))
