"""Photos that people send, made harmless: read within limits, always drawn anew as a JPEG.

Nothing of the file that was sent is kept: no name, no metadata, no place, no trailing data. What it
says it is (name, type) is not looked at either; only what it holds counts.
"""

import hashlib
import io
from dataclasses import dataclass
from typing import IO

from PIL import Image, ImageOps

FORMATS = ("JPEG", "PNG", "WEBP")
MAX_BYTES = 12 * 1024 * 1024  # house default: a phone's largest photo with room to spare
MAX_PIXELS = 40_000_000  # house default: the decoded picture takes about 160 MB at most
MAX_SIDE_PX = 1600  # house default: a crack or a nail shows, and a page loads in the yard
QUALITY = 85  # house default
# The marks of the high-efficiency formats of phones, inside the file's first box (ISO 14496-12).
HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")

EMPTY = "This file is empty. Choose the photo again."
TOO_HEAVY = f"This photo is larger than {MAX_BYTES // 1024 // 1024} MB. Send a smaller copy of it."
TOO_MANY_PIXELS = (
    f"This picture has more than {MAX_PIXELS // 1_000_000} megapixels. Send a smaller copy of it."
)
HEIF = (
    "This photo is in the HEIC format, which cannot be read here. Send it as JPEG: set the phone's "
    "camera to JPEG (in its settings, under formats) and take it again, or send a screenshot of it."
)
UNREADABLE = "This file cannot be read as a photo. Send a JPEG, PNG or WebP picture."


class PhotoRefused(Exception):
    """The file cannot be taken as a photo; the reason is in words for the person."""


@dataclass(frozen=True)
class Photo:
    """A photo as we drew it: the bytes of a JPEG, its size, its fingerprint."""

    jpeg: bytes
    width_px: int
    height_px: int
    sha256: str


def photo_read(file: IO[bytes], *, size_bytes: int) -> Photo:
    """Reads what was sent and draws it anew: upright, at most 1600 px a side, without metadata.

    Raises PhotoRefused, with words for the person, for whatever cannot be read safely.
    """
    if size_bytes > MAX_BYTES:
        raise PhotoRefused(TOO_HEAVY)
    data = file.read(MAX_BYTES + 1)
    if not data:
        raise PhotoRefused(EMPTY)
    if len(data) > MAX_BYTES:
        raise PhotoRefused(TOO_HEAVY)
    if _is_heif(data):
        raise PhotoRefused(HEIF)
    try:
        jpeg, (width, height) = _drawn_anew(data)
    except PhotoRefused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise PhotoRefused(TOO_MANY_PIXELS) from None
    except Exception as error:  # a hostile file makes a decoder raise anything at all
        raise PhotoRefused(UNREADABLE) from error
    return Photo(jpeg, width, height, hashlib.sha256(jpeg).hexdigest())


def _is_heif(data: bytes) -> bool:
    return data[4:8] == b"ftyp" and data[8:12] in HEIF_BRANDS


def _drawn_anew(data: bytes) -> tuple[bytes, tuple[int, int]]:
    """The JPEG we keep. Only the header is read before the number of pixels is known."""
    with Image.open(io.BytesIO(data), formats=FORMATS) as picture:
        if picture.width * picture.height > MAX_PIXELS:
            raise PhotoRefused(TOO_MANY_PIXELS)
        # A JPEG can be decoded at a fraction of its size straight away; others ignore this.
        picture.draft("RGB", (MAX_SIDE_PX, MAX_SIDE_PX))
        picture.load()
        upright = ImageOps.exif_transpose(picture)
        small = _on_white(_eight_bits(upright))
    out = io.BytesIO()
    # A fresh picture: nothing that the file carried beside its pixels comes along.
    small.save(out, format="JPEG", quality=QUALITY, optimize=True)
    return out.getvalue(), small.size


def _eight_bits(picture: Image.Image) -> Image.Image:
    """The same with eight bits a channel, small enough to keep."""
    if picture.mode.startswith(("I", "F")):  # 16 and more bits a grey value
        picture = picture.convert("I").point(lambda value: value / 256).convert("L")
    elif picture.mode not in ("RGB", "L"):
        keeps_alpha = picture.has_transparency_data
        picture = picture.convert("RGBA" if keeps_alpha else "RGB")
    picture.thumbnail((MAX_SIDE_PX, MAX_SIDE_PX), Image.Resampling.LANCZOS, reducing_gap=2.0)
    return picture


def _on_white(picture: Image.Image) -> Image.Image:
    """A new picture with only the pixels of this one; what was see-through becomes white."""
    fresh = Image.new("RGB", picture.size, "white")
    if picture.mode == "RGBA":
        fresh.paste(picture, mask=picture.getchannel("A"))
    else:
        fresh.paste(picture)
    return fresh
