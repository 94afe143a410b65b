"""The process that draws one DICOM film: a file on its standard input, a JPEG on its standard output.

As photo_child.py, and in a process of its own for the same reasons. Only the elements that say how the
pixels lie and how they are shown are read; what a file says of an animal, its owner or a clinic is
passed over. The pixel size in it is the detector's and not the foot's, and stays behind too.

Decided 2026-11: pydicom reads the file, uncompressed, as runs or as an 8-bit JPEG; other packings are
refused by their name before anything is unpacked, because their decoders are large programs in C. A
file that is packed as a whole (deflate) is refused with them: it may unpack to anything.
"""

import io
import sys
import warnings
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from caseboard.lib.photo_child import (
    DONE,
    NOT_GREY,
    PACKED,
    SEVERAL,
    TOO_MANY_PIXELS,
    TOO_MUCH_MEMORY,
    UNREADABLE,
    TooManyPixels,
    kept_jpeg,
    limit,
)

HEAD_BYTES = 132  # a preamble, and the mark that photo.py knows them by (DICOM PS3.10, 7.1)
META_GROUP = 0x0002
TRANSFER_SYNTAX = 0x00020010
READ = frozenset(
    {
        "1.2.840.10008.1.2",  # implicit little endian
        "1.2.840.10008.1.2.1",  # explicit little endian
        "1.2.840.10008.1.2.2",  # explicit big endian, retired
        "1.2.840.10008.1.2.5",  # RLE lossless
        "1.2.840.10008.1.2.4.50",  # JPEG baseline, 8 bit
    }
)
ELEMENTS = (
    *("Rows", "Columns", "NumberOfFrames", "SamplesPerPixel", "PhotometricInterpretation"),
    *("BitsAllocated", "BitsStored", "HighBit", "PixelRepresentation", "PlanarConfiguration"),
    *("PixelAspectRatio", "PixelSpacing", "ImagerPixelSpacing", "PixelData"),
    *("RescaleSlope", "RescaleIntercept", "ModalityLUTSequence"),
    *("WindowCenter", "WindowWidth", "VOILUTFunction", "VOILUTSequence"),
)
# Without a window that shows anything, all but this share at each end is spread over the greys; and a
# window that leaves less than this share between black and white shows nothing. House defaults.
LEFT_OUT = 0.005
LEAST_GREY = 0.01
# Pixels that are not square are made so; nothing stretches a film further than this. House default.
FURTHEST_STRETCH = 4.0

Numbers = NDArray[np.float32]  # 4 bytes a pixel: there are many


class Packed(Exception):
    """Packed in a way that is not read here."""


class Several(Exception):
    """More than one picture in one file."""


class NotGrey(Exception):
    """In colour: not a film."""


ENDS: tuple[tuple[type[Exception], int], ...] = (
    (TooManyPixels, TOO_MANY_PIXELS),
    (Image.DecompressionBombError, TOO_MANY_PIXELS),
    (Image.DecompressionBombWarning, TOO_MANY_PIXELS),
    (MemoryError, TOO_MUCH_MEMORY),
    (Packed, PACKED),
    (Several, SEVERAL),
    (NotGrey, NOT_GREY),
)


def main(
    max_pixels: int, max_side_px: int, quality: int, max_kb: int, memory_mb: int, seconds: int
) -> int:
    limit(memory_mb, seconds)
    warnings.simplefilter("ignore")  # what is odd in a file is nobody's news here
    warnings.simplefilter("error", Image.DecompressionBombWarning)
    Image.MAX_IMAGE_PIXELS = max_pixels
    data = sys.stdin.buffer.read()
    code, jpeg = answered(
        data, max_pixels=max_pixels, max_side_px=max_side_px, quality=quality, max_kb=max_kb
    )
    sys.stdout.buffer.write(jpeg)
    return code


def answered(
    data: bytes, *, max_pixels: int, max_side_px: int, quality: int, max_kb: int
) -> tuple[int, bytes]:
    """How it ends, and the JPEG if it ends well."""
    try:
        film = film_drawn(data, max_pixels=max_pixels, max_side_px=max_side_px)
        return DONE, kept_jpeg(film, max_side_px=max_side_px, quality=quality, max_kb=max_kb)
    except Exception as trouble:  # a hostile file makes a decoder raise anything at all
        return next((code for kind, code in ENDS if isinstance(trouble, kind)), UNREADABLE), b""


def film_drawn(data: bytes, *, max_pixels: int, max_side_px: int) -> Image.Image:
    """The film in eight bits of grey, as it is meant to be seen. Only the head is read before its size
    is known. Raises for whatever is no film."""
    from pydicom import dcmread
    from pydicom.pixels import apply_modality_lut, apply_voi, pixel_array

    if _syntax(data) not in READ:
        raise Packed
    film = dcmread(io.BytesIO(data), specific_tags=list(ELEMENTS))
    _checked(film, max_pixels)
    stored = _coarser(pixel_array(film, index=0), max_side_px)
    values = apply_modality_lut(stored, film)  # whole numbers, where a table asks for them
    if film.get("VOILUTSequence"):
        # Its answers fill the bits that its descriptor names (DICOM PS3.3, C.11.2.1.1).
        bits = int(film.VOILUTSequence[0].LUTDescriptor[2])
        shares = _numbers(apply_voi(values, film)) / np.float32(2**bits - 1)
    else:
        shares = _windowed(_numbers(values), film)
    shares = _seen(shares, _numbers(values))
    if film.PhotometricInterpretation == "MONOCHROME1":  # its lowest value is meant to be white
        shares = 1 - shares
    greys = np.rint(255 * shares).astype(np.uint8)
    return _square(Image.fromarray(greys), film)


def _syntax(data: bytes) -> str:
    """How the rest is packed, as the file's first group says; "" where it does not."""
    from pydicom.filereader import data_element_generator

    file = io.BytesIO(data)
    file.seek(HEAD_BYTES)
    head = data_element_generator(
        file, False, True, stop_when=lambda tag, vr, length: tag.group != META_GROUP
    )
    said = {int(element.tag): element.value for element in head}
    told = said.get(TRANSFER_SYNTAX)
    return bytes(told).decode("ascii").rstrip(" \0") if told else ""


def _checked(film: Any, max_pixels: int) -> None:
    if int(film.Rows) * int(film.Columns) > max_pixels:
        raise TooManyPixels
    if int(film.get("NumberOfFrames") or 1) != 1:
        raise Several
    if film.PhotometricInterpretation not in ("MONOCHROME1", "MONOCHROME2"):
        raise NotGrey


def _coarser(stored: NDArray[Any], max_side_px: int) -> NDArray[Any]:
    """Made smaller by whole steps before it is reckoned with, which takes several times its size."""
    step = max(stored.shape) // (2 * max_side_px)
    if step <= 1 or min(stored.shape) < step:
        return stored
    height, width = (side // step for side in stored.shape)
    blocks = stored[: height * step, : width * step].reshape(height, step, width, step)
    means: NDArray[Any] = np.rint(blocks.mean(axis=(1, 3), dtype=np.float32)).astype(stored.dtype)
    return means


def _numbers(values: NDArray[Any]) -> Numbers:
    return np.asarray(values, dtype=np.float32)


def _windowed(values: Numbers, film: Any) -> Numbers:
    """Each value's place from black (0) to white (1) by the file's first window, if it has one
    (DICOM PS3.3, C.11.2.1.2 and C.11.2.1.3)."""
    centre, width = _first(film.get("WindowCenter")), _first(film.get("WindowWidth"))
    if centre is None or width is None:
        return _spread(values)
    match film.get("VOILUTFunction") or "LINEAR":
        case "SIGMOID" if width > 0:
            return _numbers(1 / (1 + np.exp(np.clip(-4 * (values - centre) / width, -80, 80))))
        case "LINEAR_EXACT" if width > 0:
            return _numbers((values - centre) / width + 0.5)
        case "LINEAR" if width > 1:
            return _numbers((values - (centre - 0.5)) / (width - 1) + 0.5)
    return _spread(values)


def _first(told: Any) -> float | None:
    """The first of the windows that a file offers."""
    if told is None or told == "":
        return None
    number = float(told[0] if hasattr(told, "__getitem__") and not isinstance(told, str) else told)
    return number if np.isfinite(number) else None


def _seen(shares: Numbers, values: Numbers) -> Numbers:
    """Within black and white; spread anew where next to nothing lies between the two."""
    within = np.mean((shares > 0) & (shares < 1))
    if not np.isfinite(within) or within < LEAST_GREY:
        shares = _spread(values)
    return np.clip(np.nan_to_num(shares), 0, 1)


def _spread(values: Numbers) -> Numbers:
    low, high = np.quantile(values, (LEFT_OUT, 1 - LEFT_OUT))
    if high <= low:
        low, high = values.min(), values.max()
    return _numbers((values - low) / max(float(high - low), 1e-6))


def _square(image: Image.Image, film: Any) -> Image.Image:
    """With pixels as high as wide: angles are measured on it."""
    high = 1.0
    for name in ("PixelAspectRatio", "PixelSpacing", "ImagerPixelSpacing"):
        told = film.get(name)
        if told is not None and len(told) == 2:
            high = float(told[0]) / float(told[1])  # of a pixel, against its width
            break
    if not 1 / FURTHEST_STRETCH <= high <= FURTHEST_STRETCH:
        raise ValueError("no detector has such pixels")
    if abs(high - 1) < 0.001:
        return image
    return image.resize(
        (image.width, max(1, round(image.height * high))), Image.Resampling.BILINEAR
    )


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
