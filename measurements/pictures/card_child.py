"""The process that searches one picture for the card: a file on its standard input, JSON on its output.

Started by measurements/pictures/card_photo.py for each picture and gone with it, so that what a file
makes a decoder take in memory or time ends with this process and not with the server; and so that the
server never loads the library that searches. Knows neither Django nor the database.
"""

import io
import json
import sys
import warnings
from typing import Any

import numpy as np
from PIL import Image, ImageOps

from caseboard.lib.photo_child import (
    DONE,
    TOO_MANY_PIXELS,
    TOO_MUCH_MEMORY,
    UNREADABLE,
    TooManyPixels,
    heif_formats,
    limit,
)
from measurements.hoof.pictures.card_find import card_find

FORMATS = ("JPEG", "PNG", "WEBP")
HEIF_MARK = b"ftyp"  # the first box of the high-efficiency formats of phones (ISO 23008-12)
ORIENTATION = 0x0112  # the tag that says how the picture was held (EXIF 2.3)


def main(max_pixels: int, memory_mb: int, seconds: int) -> int:
    limit(memory_mb, seconds)
    warnings.simplefilter("error", Image.DecompressionBombWarning)
    data = sys.stdin.buffer.read()
    try:
        said = searched(data, max_pixels=max_pixels)
    except (TooManyPixels, Image.DecompressionBombError, Image.DecompressionBombWarning):
        return TOO_MANY_PIXELS
    except MemoryError:
        return TOO_MUCH_MEMORY
    except Exception:  # a hostile file makes a decoder raise anything at all
        return UNREADABLE
    sys.stdout.write(json.dumps(said, allow_nan=False))
    return DONE


def searched(data: bytes, *, max_pixels: int) -> dict[str, Any]:
    """The picture's size turned upright, how it lies in the file, and the card on it or null."""
    with Image.open(io.BytesIO(data), formats=_formats(data)) as picture:
        if picture.width * picture.height > max_pixels:
            raise TooManyPixels
        orientation = picture.getexif().get(ORIENTATION, 1)
        picture.load()
        upright = ImageOps.exif_transpose(_grey(picture))
    card = card_find(np.asarray(upright, dtype=np.uint8))
    return {
        "width_px": upright.width,
        "height_px": upright.height,
        "orientation": orientation if orientation in range(1, 9) else 1,
        "card": card and {**vars(card), "corners_px": card.corners_px.tolist()},
    }


def _formats(data: bytes) -> tuple[str, ...]:
    if data[4:8] != HEIF_MARK:
        return FORMATS
    return heif_formats()


def _grey(picture: Image.Image) -> Image.Image:
    """Eight bits of grey, as it lies in the file; what was see-through becomes white."""
    if picture.mode.startswith(("I", "F")):  # 16 and more bits a grey value
        return _turned_as(
            picture.convert("I").point(lambda value: value / 256).convert("L"), picture
        )
    if picture.has_transparency_data:
        picture = picture.convert("RGBA")
        white = Image.new("L", picture.size, 255)
        white.paste(picture.convert("L"), mask=picture.getchannel("A"))
        return _turned_as(white, picture)
    return picture.convert("L")


def _turned_as(made: Image.Image, picture: Image.Image) -> Image.Image:
    """The same, with what the file said of how it was held."""
    made.getexif().update(dict(picture.getexif()))
    return made


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
