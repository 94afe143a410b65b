"""The card on a file that somebody sent: any format, any way up, within limits."""

import io

import numpy as np
import pytest
from PIL import Image

from caseboard.lib.photo import MAX_BYTES, PictureUnreadable
from measurements.pictures.card_photo import card_in_photo, photo_searched
from tests.hoof.pictures.rendered import Shot, rendered

PICTURE = rendered(Shot(seed=11, card=5, side_px=80, width_px=640, height_px=480))


def saved(format: str, picture: Image.Image | None = None, **more: object) -> bytes:
    out = io.BytesIO()
    (picture or Image.open(io.BytesIO(PICTURE.jpeg))).save(out, format, **more)
    return out.getvalue()


def test_the_card_is_found_in_every_format_that_is_read() -> None:
    import pillow_heif

    heif = pillow_heif.from_pillow(Image.open(io.BytesIO(PICTURE.jpeg)))
    out = io.BytesIO()
    heif.save(out, quality=85)
    for data in (PICTURE.jpeg, saved("PNG"), saved("WEBP", quality=85), out.getvalue()):
        card = card_in_photo(data)
        assert card is not None
        assert card.corners_px == pytest.approx(PICTURE.corners_px, abs=0.6)


def test_pictures_with_more_than_eight_bits_or_see_through_are_read() -> None:
    grey = np.asarray(Image.open(io.BytesIO(PICTURE.jpeg)).convert("L"))
    deep = Image.fromarray(grey.astype(np.uint16) * 256)
    clear = Image.fromarray(grey).convert("LA")
    for picture in (deep, clear):
        card = card_in_photo(saved("PNG", picture))
        assert card is not None
        assert card.number == 5


def test_a_picture_held_sideways_is_turned_upright_first() -> None:
    upright = Image.open(io.BytesIO(PICTURE.jpeg))
    exif = Image.Exif()
    exif[0x0112] = 6  # stored turned a quarter to the left
    stored = upright.transpose(Image.Transpose.ROTATE_90)
    seen = photo_searched(saved("JPEG", stored, quality=95, exif=exif))
    assert (seen.width_px, seen.height_px, seen.orientation) == (640, 480, 6)
    assert seen.card is not None
    assert seen.card.corners_px == pytest.approx(PICTURE.corners_px, abs=0.3)


def test_a_picture_without_a_card_has_none() -> None:
    assert card_in_photo(saved("JPEG", Image.new("RGB", (300, 200), "grey"))) is None


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"no picture", "cannot be read"),
        (PICTURE.jpeg[: len(PICTURE.jpeg) // 2], "cannot be read"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 64, "cannot be read"),
        (b"x" * (MAX_BYTES + 1), "larger than"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(PictureUnreadable, match=words):
        card_in_photo(data)


def test_a_picture_that_would_take_too_much_is_not_decoded() -> None:
    """Nine thousand by nine thousand white pixels in a few kB."""
    with pytest.raises(PictureUnreadable, match="megapixels"):
        card_in_photo(saved("PNG", Image.new("1", (9000, 9000), 1)))
