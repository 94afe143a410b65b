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

from caseboard.lib.photo_child import DONE, TOO_MANY_PIXELS, TOO_MUCH_MEMORY

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
UNREADABLE = "This file cannot be read as a photo. Send a JPEG, HEIC, PNG or WebP picture."


class PictureUnreadable(Exception):
    """The file cannot be taken as a photo; the reason is in words for the person."""


@dataclass(frozen=True)
class Photo:
    """A photo as we drew it: the bytes of a JPEG, its size, its fingerprint."""

    jpeg: bytes
    width_px: int
    height_px: int
    sha256: str


def photo_read(file: IO[bytes], *, size_bytes: int) -> Photo:
    """Reads what was sent and draws it anew: upright, at most MAX_SIDE_PX a side, without metadata.

    Raises PictureUnreadable, with words for the person, for whatever cannot be read safely.
    """
    if size_bytes > MAX_BYTES:
        raise PictureUnreadable(TOO_HEAVY)
    data = file.read(MAX_BYTES + 1)
    if not data:
        raise PictureUnreadable(EMPTY)
    if len(data) > MAX_BYTES:
        raise PictureUnreadable(TOO_HEAVY)
    jpeg = _drawn_anew(data)
    with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as made:  # its head only; it is our own
        width, height = made.size
    return Photo(jpeg, width, height, hashlib.sha256(jpeg).hexdigest())


_one_at_a_time = threading.Lock()
HOME = Path(__file__).resolve().parent.parent.parent


def _drawn_anew(data: bytes) -> bytes:
    limits = (MAX_PIXELS, MAX_SIDE_PX, QUALITY, MAX_KB, MEMORY_LIMIT_MB, TIME_LIMIT_S)
    with _one_at_a_time:
        return answer_of_child("caseboard.lib.photo_child", data, limits, {})


def answer_of_child(
    module: str, data: bytes, limits: Sequence[int], environment: Mapping[str, str]
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
    if done.returncode == TOO_MANY_PIXELS:
        raise PictureUnreadable(MANY_PIXELS)
    if done.returncode == TOO_MUCH_MEMORY or done.returncode < 0:  # ended by the system
        raise PictureUnreadable(TOO_COSTLY)
    raise PictureUnreadable(UNREADABLE)


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
