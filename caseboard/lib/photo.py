"""Photos that people send, made harmless: read within limits, always drawn anew as a JPEG.

Each file is decoded in a process of its own (photo_child.py), which ends when it takes too much memory
or time; one at a time, so that many large photos at once take no more than one. Nothing of the file
that was sent is kept: no name, no metadata, no place, no trailing data. Its name and declared type are
ignored; only the bytes count.

Decided 2026-11: each photo is decoded in a process of its own, one at a time, with limits of memory
and time. The road not taken: in the server, where 40 megapixels took 360 MB.
"""

import hashlib
import io
import os
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from PIL import Image

from caseboard.lib.photo_child import (
    DONE,
    NOT_GREY,
    PACKED,
    SEVERAL,
    TOO_MANY_PIXELS,
    TOO_MUCH_MEMORY,
)

MAX_BYTES = 12 * 1024 * 1024  # house default: a phone's largest photo with room to spare
MAX_PIXELS = 40_000_000  # house default: the decoded picture takes about 160 MB
# House default: the square of the printed card is some 150 px wide where it stands beside a foot that
# fills the picture, and its corners are found to a third of a pixel.
MAX_SIDE_PX = 2400
QUALITY = 85  # house default
MAX_KB = 700  # house default: ten of them go through a barn's line in a minute or two
SMALL_SIDE_PX, SMALL_QUALITY = 320, 72  # house default: some 15 kB
# House defaults. Of address space, which is more than what is used: see tests/lib/test_photo_memory.py.
MEMORY_LIMIT_MB = 768
TIME_LIMIT_S = 20  # of processor time; three times that by the clock, on a busy machine

EMPTY = "This file is empty. Choose the photo again."
TOO_HEAVY = f"This photo is larger than {MAX_BYTES // 1024 // 1024} MB. Send a smaller copy of it."
MANY_PIXELS = (
    f"This picture has more than {MAX_PIXELS // 1_000_000} megapixels. Send a smaller copy of it."
)
TOO_COSTLY = "This picture takes too long or too much memory to read. Send a smaller copy of it."
# DICOM films: 16 bits a pixel, and detectors of up to some 15 megapixels. House default.
MAX_FILM_BYTES = 40 * 1024 * 1024
FILM_MEMORY_MB = 1536  # of address space, of which the libraries alone take a good part
DICOM_AT, DICOM_MARK = 128, b"DICM"  # DICOM PS3.10, 7.1
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS")  # one each: more take memory and gain nothing

FILM_TOO_HEAVY = f"This film is larger than {MAX_FILM_BYTES // 1024 // 1024} MB. Save it as a JPEG from your viewer."
FILM_PACKED = "This DICOM file is packed in a way that is not read here. Save the film as a JPEG from your viewer."
FILM_SEVERAL = (
    "This DICOM file holds several pictures. Save the one that you want as a JPEG from your viewer."
)
FILM_NOT_GREY = (
    "This DICOM file is no film in shades of grey. Save the picture as a JPEG from your viewer."
)
FILM_UNREADABLE = (
    "This DICOM file cannot be read as a film. Save the film as a JPEG from your viewer."
)
UNREADABLE = "This file cannot be read as a photo. Send a JPEG, HEIC, PNG or WebP picture."


# How a child may end, in words for the person.
ENDED = {
    TOO_MANY_PIXELS: MANY_PIXELS,
    PACKED: FILM_PACKED,
    SEVERAL: FILM_SEVERAL,
    NOT_GREY: FILM_NOT_GREY,
}


class PictureUnreadable(Exception):
    """The file cannot be taken as a photo; the reason is in words for the person."""


@dataclass(frozen=True)
class Photo:
    """A photo as we drew it: the bytes of a JPEG, its size, its fingerprint."""

    jpeg: bytes
    width_px: int
    height_px: int
    sha256: str
    is_film: bool = False  # sent as a DICOM file


def photo_read(file: IO[bytes], *, size_bytes: int) -> Photo:
    """Reads what was sent and draws it anew: upright, at most MAX_SIDE_PX a side, without metadata.

    Raises PictureUnreadable, with words for the person, for whatever cannot be read safely.
    """
    if size_bytes > MAX_FILM_BYTES:
        raise PictureUnreadable(TOO_HEAVY)
    head = file.read(DICOM_AT + len(DICOM_MARK))
    if not head:
        raise PictureUnreadable(EMPTY)
    is_film = head[DICOM_AT:] == DICOM_MARK
    most, too_heavy = (MAX_FILM_BYTES, FILM_TOO_HEAVY) if is_film else (MAX_BYTES, TOO_HEAVY)
    if size_bytes > most:
        raise PictureUnreadable(too_heavy)
    data = head + file.read(most + 1 - len(head))
    if len(data) > most:
        raise PictureUnreadable(too_heavy)
    jpeg = _film_drawn(data) if is_film else _drawn_anew(data)
    with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as made:  # its head only; it is our own
        width, height = made.size
    return Photo(jpeg, width, height, hashlib.sha256(jpeg).hexdigest(), is_film)


_one_at_a_time = threading.Lock()
HOME = Path(__file__).resolve().parent.parent.parent


def _drawn_anew(data: bytes) -> bytes:
    limits = (MAX_PIXELS, MAX_SIDE_PX, QUALITY, MAX_KB, MEMORY_LIMIT_MB, TIME_LIMIT_S)
    with _one_at_a_time:
        return answer_of_child("caseboard.lib.photo_child", data, limits, {})


def _film_drawn(data: bytes) -> bytes:
    limits = (MAX_PIXELS, MAX_SIDE_PX, QUALITY, MAX_KB, FILM_MEMORY_MB, TIME_LIMIT_S)
    with _one_at_a_time:
        return answer_of_child(
            "caseboard.lib.film_child", data, limits, dict.fromkeys(THREADS, "1"), FILM_UNREADABLE
        )


def answer_of_child(
    module: str,
    data: bytes,
    limits: Sequence[int],
    environment: Mapping[str, str],
    unreadable: str = UNREADABLE,
) -> bytes:
    """What a process of its own, which ends at its limits, says of a picture. The last of `limits`
    is its seconds of processor time. Raises PictureUnreadable, with words for the person."""
    try:
        done = subprocess.run(
            [sys.executable, "-m", module, *map(str, limits)],
            input=data,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            cwd=HOME,
            env={**_environment(), **environment},
            timeout=3 * limits[-1],
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise PictureUnreadable(TOO_COSTLY) from None
    if done.returncode == DONE and done.stdout:
        return done.stdout
    if done.returncode == TOO_MUCH_MEMORY or done.returncode < 0:  # ended by the system
        raise PictureUnreadable(TOO_COSTLY)
    raise PictureUnreadable(ENDED.get(done.returncode, unreadable))


def _environment() -> dict[str, str]:
    """The least it needs: no secrets, no database."""
    kept = ("PATH", "LANG", "SYSTEMROOT", "TEMP", "TMPDIR", "LD_LIBRARY_PATH")
    return {name: os.environ[name] for name in kept if name in os.environ}


def made_small(jpeg: bytes) -> bytes:
    """A picture that we drew ourselves, small enough for a page that shows many of them.

    Raises PictureUnreadable for a file that is no such picture (any more).
    """
    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as kept:
            if max(kept.size) > MAX_SIDE_PX:
                raise PictureUnreadable(UNREADABLE)
            kept.draft("RGB", (SMALL_SIDE_PX, SMALL_SIDE_PX))  # decoded at an eighth: a few ms
            kept.thumbnail((SMALL_SIDE_PX, SMALL_SIDE_PX))
            out = io.BytesIO()
            kept.convert("RGB").save(out, format="JPEG", quality=SMALL_QUALITY)
    except (OSError, ValueError, SyntaxError) as broken:
        raise PictureUnreadable(UNREADABLE) from broken
    return out.getvalue()
