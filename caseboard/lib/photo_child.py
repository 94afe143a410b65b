"""The process that draws one photo anew: a file on its standard input, a JPEG on its standard output.

Started by caseboard/lib/photo.py for each photo and gone with it, so that what a file makes a decoder
take in memory or time ends with this process and not with the server. Knows neither Django nor the
database.
"""

import io
import sys
import warnings

from PIL import Image, ImageOps

FORMATS: tuple[str, ...] = ("JPEG", "PNG", "WEBP")
# Tried one after the other until the picture is light enough; then it is made smaller. House default.
QUALITIES_BELOW = (78, 70, 60, 50)
SMALLER = 0.8
SMALL_ENOUGH_PX = 400
# The marks of the high-efficiency formats of phones, inside the file's first box (ISO 23008-12).
HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
# How it ends, for the parent.
DONE, TOO_MANY_PIXELS, UNREADABLE, TOO_MUCH_MEMORY = 0, 10, 11, 12
PACKED, SEVERAL, NOT_GREY = 20, 21, 22  # only film_child.py, which reads DICOM files


class TooManyPixels(Exception):
    """Said by the file's head; nothing was decoded."""


def main(
    max_pixels: int, max_side_px: int, quality: int, max_kb: int, memory_mb: int, seconds: int
) -> int:
    limit(memory_mb, seconds)
    warnings.simplefilter("error", Image.DecompressionBombWarning)
    data = sys.stdin.buffer.read()
    try:
        jpeg = drawn_anew(
            data, max_pixels=max_pixels, max_side_px=max_side_px, quality=quality, max_kb=max_kb
        )
    except (TooManyPixels, Image.DecompressionBombError, Image.DecompressionBombWarning):
        return TOO_MANY_PIXELS
    except MemoryError:
        return TOO_MUCH_MEMORY
    except Exception:  # a hostile file makes a decoder raise anything at all
        return UNREADABLE
    sys.stdout.buffer.write(jpeg)
    return DONE


def limit(megabytes: int, seconds: int) -> None:
    if sys.platform == "win32":  # has no such limits; the parent's clock still holds
        return
    import resource

    memory = megabytes * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))


def is_heif(data: bytes) -> bool:
    return data[4:8] == b"ftyp" and data[8:12] in HEIF_BRANDS


def drawn_anew(
    data: bytes, *, max_pixels: int, max_side_px: int, quality: int, max_kb: int
) -> bytes:
    """The JPEG we keep. Only the header is read before the number of pixels is known."""
    formats = heif_formats() if is_heif(data) else FORMATS
    with Image.open(io.BytesIO(data), formats=formats) as picture:
        if picture.width * picture.height > max_pixels:
            raise TooManyPixels
        # A JPEG can be decoded at a fraction of its size straight away; others ignore this.
        picture.draft("RGB", (max_side_px, max_side_px))
        picture.load()
        small = ImageOps.exif_transpose(_small(picture, max_side_px))
    return kept_jpeg(small, max_side_px=max_side_px, quality=quality, max_kb=max_kb)


def kept_jpeg(picture: Image.Image, *, max_side_px: int, quality: int, max_kb: int) -> bytes:
    """A picture that was read, in eight bits a channel, as the JPEG we keep."""
    return _light(_on_white(_small(picture, max_side_px)), quality, max_kb)


def heif_formats() -> tuple[str, ...]:
    """Its decoder is loaded for such a file only; one thread, which takes the least memory."""
    import pi_heif  # type: ignore[import-untyped]  # it ships no types

    pi_heif.register_heif_opener(thumbnails=False, decode_threads=1)
    return ("HEIF",)


def _light(picture: Image.Image, quality: int, max_kb: int) -> bytes:
    """As a JPEG of at most so many kB. A fresh picture: nothing that the file carried beside its
    pixels comes along."""
    while True:
        for tried in (quality, *QUALITIES_BELOW):
            out = io.BytesIO()
            picture.save(out, format="JPEG", quality=tried, optimize=True)
            if out.tell() <= max_kb * 1000 or max(picture.size) < SMALL_ENOUGH_PX:
                return out.getvalue()
        size = [max(1, round(side * SMALLER)) for side in picture.size]
        picture = picture.resize((size[0], size[1]), Image.Resampling.LANCZOS)


def _small(picture: Image.Image, max_side_px: int) -> Image.Image:
    """The same with eight bits a channel, small enough to keep; as it lies in the file."""
    if picture.mode.startswith(("I", "F")):  # 16 and more bits a grey value
        picture = _shrunk(picture, max_side_px)
        picture = picture.convert("I").point(lambda value: value / 256).convert("L")
    elif picture.mode not in ("RGB", "L"):
        keeps_alpha = picture.has_transparency_data
        picture = picture.convert("RGBA" if keeps_alpha else "RGB")
    picture.thumbnail((max_side_px, max_side_px), Image.Resampling.LANCZOS, reducing_gap=2.0)
    return picture


def _shrunk(picture: Image.Image, max_side_px: int) -> Image.Image:
    """Made smaller by whole steps before it is converted, which takes several times its size."""
    step = max(picture.size) // (2 * max_side_px)
    if step <= 1 or min(picture.size) < step or picture.mode.startswith("I;"):
        return picture
    return picture.reduce(step)


def _on_white(picture: Image.Image) -> Image.Image:
    """A new picture with only the pixels of this one; what was see-through becomes white."""
    fresh = Image.new("RGB", picture.size, "white")
    if picture.mode == "RGBA":
        fresh.paste(picture, mask=picture.getchannel("A"))
    else:
        fresh.paste(picture)
    return fresh


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
