"""`manage.py measure_picture`: a picture, its points and the card on it become numbers. No database."""

import json
from argparse import ArgumentTypeError
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from caseboard.lib.photo import PictureUnreadable
from measurements.hoof.pictures.card_face import SIDE_MM
from measurements.hoof.pictures.hands import UNSTEADY
from measurements.hoof.pictures.measured import (
    CARD_OFF_MM,
    TAP_PX,
    UnusablePicture,
    card_off_sd_mm,
)
from measurements.hoof.pictures.views import VIEWS, measure
from measurements.pictures.card_photo import Searched, photo_searched
from measurements.pictures.known import KNOWN, TRIED
from measurements.pictures.measure import card_of, result_of
from measurements.pictures.points_file import (
    BadPoints,
    Points,
    outside,
    points_read,
    turned_upright,
)

CARD_MM, MARKER_MM, TAPS_PX = (20.0, 300.0), (1.0, 500.0), (0.1, 50.0)  # house defaults
CARDS_OFF_MM = (0.0, 200.0)  # house default
# As the views are typed; in the code their names have no hyphen.
TYPED = {key.replace("_", "-"): key for key in VIEWS}
MIRRORED = "This picture is mirrored: left is right on it, and inside is outside."


def _within(low: float, high: float, unit: str) -> Callable[[str], float]:
    def number(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            raise ArgumentTypeError(f"{text!r} is not a number of {unit}") from None
        if not low <= value <= high:
            raise ArgumentTypeError(f"choose from {low:g} to {high:g} {unit}")
        return value

    return number


class Command(BaseCommand):
    help = (
        "Measures a foot on one picture. Points are in pixels of the picture turned upright as its "
        "data say, as every viewer shows it; with --as-stored in pixels of the file as it is stored. "
        "(0, 0) is the centre of the top left pixel, y runs down. " + TRIED + " " + KNOWN
    )
    requires_system_checks: list[str] = []  # it needs no database

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("photo", type=Path, help="JPEG, HEIC, PNG or WebP")
        parser.add_argument("--view", choices=sorted(TYPED), required=True)
        parser.add_argument(
            "--points", type=Path, required=True, help='JSON: {"ground_toe": [x, y], ...}'
        )
        parser.add_argument(
            "--card-mm",
            type=_within(*CARD_MM, "mm"),
            default=SIDE_MM,
            help=f"side of the printed square, if the printer scaled it (default {SIDE_MM:.0f})",
        )
        parser.add_argument(
            "--marker-mm",
            type=_within(*MARKER_MM, "mm"),
            help="on a film: length between marker_start and marker_end",
        )
        parser.add_argument(
            "--tap-px",
            type=_within(*TAPS_PX, "px"),
            help="error of a placed point along each axis, SD, if it is known (else "
            f"{TAP_PX:g} to {UNSTEADY * TAP_PX:g}, as far as the points tell)",
        )
        parser.add_argument(
            "--card-off-mm",
            type=_within(*CARDS_OFF_MM, "mm"),
            help="how far in front of or behind the middle of the foot the card may have stood, if "
            f"it is known (else mostly {CARD_OFF_MM:g}, sometimes much more, as far as the ground tells)",
        )
        parser.add_argument(
            "--as-stored",
            action="store_true",
            help="points of the file before it is turned upright",
        )
        parser.add_argument("--out", type=Path, required=True, help="JSON to write")

    def handle(self, *args: Any, **options: Any) -> None:
        typed, out, off_mm = options["view"], options["out"], options["card_off_mm"]
        try:
            view = TYPED[typed]
            points = points_read(_bytes(options["points"]), VIEWS[view].names)
            seen = photo_searched(_bytes(options["photo"]))
            points = _upright(points, seen, as_stored=options["as_stored"])
            values = measure(
                view,
                points,
                card=card_of(seen.card, options["card_mm"]) if seen.card else None,
                marker_mm=options["marker_mm"],
                size_px=(float(seen.width_px), float(seen.height_px)),
                tap_px=options["tap_px"] or TAP_PX,
                tap_known=options["tap_px"] is not None,
                card_off_mm_sd=None if off_mm is None else card_off_sd_mm(off_mm),
            )
        except (BadPoints, PictureUnreadable, UnusablePicture) as error:
            raise CommandError(str(error), returncode=2) from error
        said = {"view": typed, **_about(seen), **result_of(values)}
        _write(out, json.dumps(said, indent=2, allow_nan=False) + "\n")
        got = sum("value" in each for each in result_of(values).values())
        found = f"card {seen.card.number} found" if seen.card else "no card found"
        self.stdout.write(f"{found}, {got} of {len(values)} quantities measured: {out}")
        if seen.card and seen.card.mirrored:
            self.stderr.write(MIRRORED)


def _about(seen: Searched) -> dict[str, Any]:
    said: dict[str, Any] = {
        "card_found": seen.card is not None,
        "picture": {
            "width_px": seen.width_px,
            "height_px": seen.height_px,
            "orientation": seen.orientation,
        },
    }
    if seen.card is not None:
        said["card"] = {
            "number": seen.card.number,
            "corners_px": seen.card.corners_px.round(3).tolist(),
            "mirrored": seen.card.mirrored,
            "side_px": round(seen.card.side_px, 2),
        }
    return said


def _upright(points: Points, seen: Searched, *, as_stored: bool) -> Points:
    size = (seen.width_px, seen.height_px)
    if as_stored:
        points = turned_upright(points, seen.orientation, size)
    if off := outside(points, size):
        words = f"These points lie off the picture ({size[0]} x {size[1]} px): {', '.join(off)}."
        if seen.orientation != 1 and not as_stored:
            words += (
                " If they were read off the file before it was turned upright, say --as-stored."
            )
        raise BadPoints(words)
    return points


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise BadPoints(f"{path} cannot be read: {error.strerror}.") from None


def _write(path: Path, text: str) -> None:
    """Writes beside the target first, so that a half-written file never stands under its name."""
    partial_path = path.with_name(path.name + ".part")
    try:
        partial_path.write_text(text, encoding="utf-8")
        partial_path.replace(path)
    except OSError as error:
        raise CommandError(f"{path} cannot be written: {error.strerror}.", returncode=2) from None
