"""Photos are drawn anew whatever was sent; hostile files are refused in words, never a crash."""

import io
import struct
import subprocess
import sys
import zlib
from collections.abc import Callable

import pillow_heif
import pytest
from PIL import Image, PngImagePlugin

from caseboard.lib import photo
from caseboard.lib.photo import (
    MAX_BYTES,
    MAX_FILM_BYTES,
    MAX_SIDE_PX,
    Photo,
    PictureUnreadable,
    photo_read,
)
from caseboard.lib.photo_child import TooManyPixels, drawn_anew

pillow_heif.register_heif_opener()  # writes the files that are sent


def picture(
    width: int = 60, height: int = 40, mode: str = "RGB", colour: object = None
) -> Image.Image:
    return Image.new(mode, (width, height), colour if colour is not None else 0)  # type: ignore[arg-type]


def sent(image: Image.Image, kind: str = "JPEG", **extra: object) -> bytes:
    out = io.BytesIO()
    image.save(out, format=kind, **extra)
    return out.getvalue()


def read(data: bytes) -> Photo:
    return photo_read(io.BytesIO(data), size_bytes=len(data))


def opened(made: Photo) -> Image.Image:
    return Image.open(io.BytesIO(made.jpeg), formats=("JPEG",))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_each_kind_of_picture_becomes_a_jpeg(kind: str) -> None:
    made = read(sent(picture(), kind))
    assert opened(made).format == "JPEG"
    assert (made.width_px, made.height_px) == opened(made).size == (60, 40)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16"])
def test_every_depth_and_colour_mode_of_png_is_read(mode: str) -> None:
    assert opened(read(sent(picture(mode=mode), "PNG"))).mode == "RGB"


def test_a_cmyk_jpeg_is_read() -> None:
    assert opened(read(sent(picture(mode="CMYK")))).mode == "RGB"


def test_sixteen_bit_grey_keeps_its_lightness() -> None:
    made = read(sent(Image.new("I;16", (20, 20), 65535), "PNG"))
    assert opened(made).getpixel((10, 10)) == (255, 255, 255)


def test_what_is_see_through_becomes_white() -> None:
    made = read(sent(Image.new("RGBA", (20, 20), (255, 0, 0, 0)), "PNG"))
    assert opened(made).getpixel((10, 10)) == (255, 255, 255)


def test_a_large_photo_is_made_smaller_with_its_shape_kept() -> None:
    made = read(sent(picture(4000, 3000)))
    assert (made.width_px, made.height_px) == (MAX_SIDE_PX, 1800)


def test_a_small_photo_is_not_made_larger() -> None:
    assert read(sent(picture(30, 20))).width_px == 30


def test_a_thread_thin_picture_still_has_a_width() -> None:
    made = read(sent(picture(5000, 1), "PNG"))
    assert (made.width_px, made.height_px) == (MAX_SIDE_PX, 1)


def with_exif(image: Image.Image) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = 6  # orientation: turned a quarter
    exif[0x010F] = "CANARY-MAKER"
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2] = "N", (59.0, 20.0, 11.5)
    gps[29] = "CANARY-PLACE"
    return sent(image, exif=exif, comment=b"CANARY-COMMENT")


def test_a_turned_photo_comes_out_upright() -> None:
    made = read(with_exif(picture(60, 40)))
    assert (made.width_px, made.height_px) == (40, 60)


@pytest.mark.parametrize("turn", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_whichever_way_it_was_held_the_red_corner_comes_out_at_the_upper_left(
    turn: int, kind: str
) -> None:
    upright = picture(80, 40, colour=(255, 255, 255))
    upright.paste((255, 0, 0), (0, 0, 20, 20))
    made = opened(read(sent(laid(upright, turn), kind, exif=exif_of(turn))))
    assert made.size == (80, 40)
    red = made.getpixel((8, 8))
    assert isinstance(red, tuple)
    assert red[0] > 200
    assert red[1] < 80


def laid(upright: Image.Image, turn: int) -> Image.Image:
    """As it lies in a file whose data say to turn it so (TIFF 6.0, Orientation)."""
    way = Image.Transpose
    back = {
        2: way.FLIP_LEFT_RIGHT,
        3: way.ROTATE_180,
        4: way.FLIP_TOP_BOTTOM,
        5: way.TRANSPOSE,
        6: way.ROTATE_90,
        7: way.TRANSVERSE,
        8: way.ROTATE_270,
    }
    return upright.transpose(back[turn]) if turn in back else upright


def exif_of(turn: int) -> Image.Exif:
    exif = Image.Exif()
    exif[0x0112] = turn
    return exif


def test_a_heic_comes_out_upright_and_without_its_data() -> None:
    """Its own box says how it was held; the tag beside it must not turn it a second time."""
    exif = exif_of(6)
    exif[0x010F] = "CANARY-MAKER"
    data = sent(picture(60, 40), "HEIF", exif=exif.tobytes())
    assert b"CANARY" in data
    made = read(data)
    assert (made.width_px, made.height_px) == (40, 60)
    assert b"CANARY" not in made.jpeg


def test_a_picture_full_of_detail_is_kept_light() -> None:
    made = read(sent(Image.effect_noise((2400, 1800), 80).convert("RGB"), quality=95))
    assert len(made.jpeg) <= photo.MAX_KB * 1000
    assert made.width_px >= 1200


def test_place_maker_and_comment_are_gone() -> None:
    data = with_exif(picture())
    assert b"CANARY-MAKER" in data
    assert b"CANARY-PLACE" in data
    made = read(data)
    assert b"CANARY" not in made.jpeg
    assert not opened(made).getexif()
    assert "icc_profile" not in opened(made).info


def test_text_inside_a_png_is_gone() -> None:
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "CANARY-TEXT")
    assert b"CANARY" not in read(sent(picture(), "PNG", pnginfo=info)).jpeg


def test_the_fingerprint_is_of_what_is_kept() -> None:
    import hashlib

    made = read(sent(picture()))
    assert made.sha256 == hashlib.sha256(made.jpeg).hexdigest()


def test_the_first_frame_of_a_moving_picture_is_kept() -> None:
    frames = [picture(colour=(0, 255, 0)), picture(colour=(255, 0, 0))]
    data = sent(frames[0], "WEBP", save_all=True, append_images=frames[1:], lossless=True)
    red, green, _ = opened(read(data)).getpixel((5, 5))  # type: ignore[misc]
    assert green > red


# -- hostile and unfit files


def png_claiming(width: int, height: int) -> bytes:
    """A tiny PNG whose header claims any size: nothing is behind it."""

    def chunk(name: bytes, body: bytes) -> bytes:
        crc = zlib.crc32(name + body)
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", crc)

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 1000)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
    )


def heic() -> bytes:
    return b"\0\0\0\x18ftypheic\0\0\0\0heicmif1" + b"\0" * 200


def polyglot() -> bytes:
    return sent(picture()) + b"<script>CANARY</script>PK\x03\x04" + b"CANARY" * 50


HOSTILE: dict[str, Callable[[], bytes]] = {
    "nothing at all": lambda: b"",
    "one byte": lambda: b"\xff",
    "zero bytes": lambda: b"\0" * 5000,
    "plain text": lambda: b"hello " * 200,
    "a web page": lambda: b"<!doctype html><script>alert(1)</script>",
    "an SVG": lambda: b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "a PDF": lambda: b"%PDF-1.7\n" + b"0" * 500,
    "a zip": lambda: b"PK\x03\x04" + b"\0" * 500,
    "PostScript": lambda: b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n",
    "a GIF": lambda: sent(picture(mode="P"), "GIF"),
    "a BMP": lambda: sent(picture(), "BMP"),
    "a TIFF": lambda: sent(picture(), "TIFF"),
    "a JPEG 2000": lambda: sent(picture(), "JPEG2000"),
    "an icon": lambda: sent(picture(), "ICO"),
    "a cut-off JPEG": lambda: sent(picture(400, 400))[:900],
    "a cut-off PNG": lambda: sent(Image.effect_noise((200, 200), 50), "PNG")[:-2000],
    "a cut-off WebP": lambda: sent(picture(300, 300), "WEBP")[:60],
    "only a JPEG's first bytes": lambda: b"\xff\xd8\xff\xe0\0\x10JFIF",
    "a JPEG's start and end": lambda: b"\xff\xd8\xff\xd9",
    "only a PNG's signature": lambda: b"\x89PNG\r\n\x1a\n",
    "a PNG with a broken checksum": lambda: _broken(sent(picture(), "PNG"), 20),
    "a PNG without picture data": lambda: sent(picture(), "PNG")[:33],
    "a PNG of no width": lambda: png_claiming(0, 100),
    "a PNG that claims 100 megapixels": lambda: png_claiming(10_000, 10_000),
    "a PNG that claims 4 terapixels": lambda: png_claiming(2_000_000, 2_000_000),
    "a PNG of the largest numbers": lambda: png_claiming(2**31 - 1, 2**31 - 1),
    "a PNG that holds less than it claims": lambda: png_claiming(4000, 4000),
    "HEIC": heic,
    "HEIC cut off": lambda: heic()[:12],
    "a real HEIC cut off": lambda: sent(Image.effect_noise((200, 200), 50), "HEIF")[:2000],
    "a HEIC with a broken box": lambda: _broken(sent(picture(400, 300), "HEIF"), 40),
    "AVIF": lambda: sent(picture(), "AVIF"),
    "a RIFF that is no WebP": lambda: b"RIFF\x24\0\0\0WAVEfmt " + b"\0" * 100,
    "a WebP header only": lambda: b"RIFF\xff\xff\xff\xffWEBPVP8 " + b"\0" * 30,
}


def _broken(data: bytes, at: int) -> bytes:
    return data[:at] + bytes([data[at] ^ 0xFF]) + data[at + 1 :]


@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
@pytest.mark.parametrize("name", HOSTILE)
def test_a_file_that_is_no_photo_is_refused_in_words(name: str) -> None:
    with pytest.raises(PictureUnreadable) as refusal:
        read(HOSTILE[name]())
    assert str(refusal.value).endswith(".")


@pytest.mark.parametrize("seed", range(12))
def test_a_photo_with_flipped_bytes_is_drawn_anew_or_refused(seed: int) -> None:
    import random

    chance = random.Random(seed)
    data = bytearray(sent(Image.effect_noise((120, 120), 60), ["JPEG", "PNG", "WEBP"][seed % 3]))
    for _ in range(40):
        data[chance.randrange(len(data))] = chance.randrange(256)
    try:
        made = read(bytes(data))
    except PictureUnreadable:
        return
    assert opened(made).format == "JPEG"


def test_a_file_that_is_a_photo_and_something_else_keeps_only_the_photo() -> None:
    assert b"CANARY" in polyglot()
    assert b"CANARY" not in read(polyglot()).jpeg


def test_too_many_pixels_are_refused_before_anything_is_decoded(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def never(*_: object) -> None:
        raise AssertionError("decoded")

    monkeypatch.setattr(PngImagePlugin.PngImageFile, "load", never)
    claiming = png_claiming(9000, 5000)  # 45 megapixels: under the library's own limit
    with pytest.raises(TooManyPixels):
        drawn_anew(
            claiming, max_pixels=photo.MAX_PIXELS, max_side_px=MAX_SIDE_PX, quality=85, max_kb=700
        )
    with pytest.raises(PictureUnreadable, match="megapixels"):
        read(claiming)


def test_forty_megapixels_are_not_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo, "MAX_PIXELS", 60 * 40)
    assert read(sent(picture(60, 40), "PNG")).width_px == 60


def test_a_file_over_the_limit_is_refused_without_being_read() -> None:
    class Unread(io.BytesIO):
        def read(self, *_: object) -> bytes:
            raise AssertionError("read")

    with pytest.raises(PictureUnreadable, match="12 MB"):
        photo_read(Unread(), size_bytes=MAX_FILM_BYTES + 1)


def test_a_file_that_lies_about_its_size_is_refused_too() -> None:
    with pytest.raises(PictureUnreadable, match="12 MB"):
        photo_read(io.BytesIO(b"\xff" * (MAX_BYTES + 10)), size_bytes=10)


def test_a_heic_that_claims_too_many_pixels_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo, "MAX_PIXELS", 60 * 40 - 1)
    with pytest.raises(PictureUnreadable, match="megapixels"):
        read(sent(picture(60, 40), "HEIF"))


def test_the_server_itself_never_loads_a_decoder_of_phones_or_films() -> None:
    """They run in the limited process only."""
    code = "import sys, caseboard.lib.photo; print(bool({'pi_heif', 'pydicom'} & {*sys.modules}))"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "False"


def test_a_text_chunk_that_unpacks_to_much_is_refused_or_left_out() -> None:
    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    bomb = chunk(b"zTXt", b"Comment\0\0" + zlib.compress(b"A" * 80_000_000, 9))
    data = sent(picture(), "PNG")
    end_of_header = 8 + 25
    with pytest.raises(PictureUnreadable):
        read(data[:end_of_header] + bomb + data[end_of_header:])
