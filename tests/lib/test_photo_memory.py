"""A photo is decoded in a process of its own, which ends when it takes too much."""

import io
import resource
import struct
import zlib

import pytest

from caseboard.lib import photo
from caseboard.lib.photo import MAX_PIXELS, Photo, PictureUnreadable, photo_read

WIDTH, HEIGHT = 8000, 5000
# Bytes a pixel, and the kind as the PNG format numbers it (PNG specification, 11.2.1).
KINDS = {"grey": (1, 8, 0), "colour": (3, 8, 2), "see-through": (4, 8, 6), "16 bits": (2, 16, 0)}


def png(kind: str) -> bytes:
    """A picture of 40 megapixels in some 40 to 160 kB: all its rows are the same."""
    channels, depth, number = KINDS[kind]

    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", WIDTH, HEIGHT, depth, number, 0, 0, 0))
    packer, row = zlib.compressobj(1), b"\0" + bytes(WIDTH * channels)
    body = b"".join(packer.compress(row) for _ in range(HEIGHT)) + packer.flush()
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def read(data: bytes) -> Photo:
    return photo_read(io.BytesIO(data), size_bytes=len(data))


@pytest.mark.parametrize("kind", KINDS)
def test_the_largest_picture_is_read_within_the_limit_and_costs_the_server_nothing(
    kind: str,
) -> None:
    assert WIDTH * HEIGHT == MAX_PIXELS
    data = png(kind)
    before_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    made = read(data)
    grown_mb = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kb) / 1024
    assert (made.width_px, made.height_px) == (2400, 1500)
    assert grown_mb < 20


def test_what_takes_more_memory_than_it_may_is_refused_in_words(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(photo, "MEMORY_LIMIT_MB", 200)
    with pytest.raises(PictureUnreadable, match="too much memory"):
        read(png("see-through"))


def test_what_takes_too_long_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo, "TIME_LIMIT_S", 0)
    with pytest.raises(PictureUnreadable, match="too long"):
        read(png("see-through"))


def test_the_process_knows_none_of_the_servers_secrets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SECRET_KEY", "not to be passed on")
    monkeypatch.setenv("DATABASE_URL", "not to be passed on")
    assert "not to be passed on" not in photo._environment().values()
