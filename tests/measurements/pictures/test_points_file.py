"""A file of points is read whole or refused in words."""

import json

import pytest

from measurements.pictures.points_file import BadPoints, outside, points_read, turned_upright

KNOWN = ("ground_toe", "ground_heel")


def test_points_are_read_and_what_was_not_placed_is_left_out() -> None:
    said = json.dumps({"ground_toe": [12, 30.5], "ground_heel": None}).encode()
    assert points_read(said, KNOWN) == {"ground_toe": (12.0, 30.5)}


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "not JSON"),
        (b"\xff\xfe\x00", "not JSON"),
        (b"[" * 100_000, "not JSON"),
        (b"[1, 2]", "one JSON object"),
        (b'{"toe": [1, 2]}', "No such point: toe"),
        (b'{"ground_toe": [1]}', "two numbers"),
        (b'{"ground_toe": [1, "2"]}', "two numbers"),
        (b'{"ground_toe": [1, true]}', "two numbers"),
        (b'{"ground_toe": [1, NaN]}', "two numbers"),
        (b'{"ground_toe": [1, 1e999]}', "two numbers"),
        (b'{"ground_toe": [1, 1' + b"0" * 400 + b"]}", "two numbers"),
        (b'{"ground_toe": {"x": 1}}', "two numbers"),
        (b" " * 1_000_001, "too large"),
    ],
)
def test_what_is_no_file_of_points_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(BadPoints, match=words):
        points_read(data, KNOWN)


def test_points_of_the_stored_file_turn_with_the_picture() -> None:
    """Checked against the library that turns the pictures, for all eight ways."""
    from PIL import Image, ImageOps

    for orientation in range(1, 9):
        stored = Image.new("L", (7, 4))
        stored.putpixel((5, 1), 255)
        stored.getexif()[0x0112] = orientation
        upright = ImageOps.exif_transpose(stored)
        [place] = turned_upright({"p": (5.0, 1.0)}, orientation, upright.size).values()
        assert upright.getpixel((int(place[0]), int(place[1]))) == 255, orientation


def test_points_off_the_picture_are_named() -> None:
    assert outside({"in": (0, 0), "rim": (9.9, 5), "off": (12, 5)}, (10, 10)) == ["off"]
