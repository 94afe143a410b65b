"""`manage.py picture_card`: the printed card as a picture, for scripts and for checking. No database."""

import json
from argparse import ArgumentTypeError
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from caseboard.lib.pdf.parent import PAGE_SIZES, PdfFailed, PdfUnavailable
from caseboard.sheets.picture_card import LEAST_DPI, MOST_DPI, card_pdf, card_png
from measurements.hoof.pictures.card_codes import CARDS
from measurements.hoof.pictures.card_face import SIDE_MM


def _dpi(text: str) -> float:
    try:
        dpi = float(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is not a number") from None
    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise ArgumentTypeError(f"choose from {LEAST_DPI} to {MOST_DPI} dots an inch")
    return dpi


class Command(BaseCommand):
    help = (
        "Writes the face of the card as a PNG that prints at its true size, and says as JSON the side "
        "of its black square in mm and where the square's outer corners lie in pixels: clockwise from "
        "its top left, (0, 0) being the centre of the first pixel. No real photographs of feet with a "
        "card were available to us: what it is good for is reckoned and simulated."
    )
    requires_system_checks: list[str] = []  # it needs no database

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--out", type=Path, required=True, help="the PNG to write")
        parser.add_argument("--dpi", type=_dpi, default=300.0, help="dots an inch (default 300)")
        parser.add_argument(
            "--number",
            type=int,
            default=1,
            choices=range(1, CARDS + 1),
            metavar=f"1..{CARDS}",
            help="which card (default 1)",
        )
        parser.add_argument(
            "--pdf",
            action="store_true",
            help="also writes the page to print, two cards, beside it under the same name",
        )
        parser.add_argument("--paper", choices=sorted(PAGE_SIZES), default="a4")

    def handle(self, *args: Any, **options: Any) -> None:
        out: Path = options["out"]
        number, dpi = options["number"], options["dpi"]
        png, face = card_png(number, dpi=dpi)
        height, width = face.grey.shape
        said: dict[str, Any] = {
            "side_mm": SIDE_MM,
            "corners_px": face.corners_px.round(4).tolist(),
            "corner_order": ["top left", "top right", "bottom right", "bottom left"],
            "pixel_origin": "the centre of the top left pixel is (0, 0)",
            "px_per_mm": dpi / 25.4,
            "dpi": dpi,
            "width_px": width,
            "height_px": height,
            "number": number,
            "png": str(out),
        }
        _write(out, png)
        if options["pdf"]:
            page = out.with_suffix(".pdf")
            try:
                _write(page, card_pdf(number, options["paper"]))
            except (PdfUnavailable, PdfFailed) as error:
                raise CommandError(str(error), returncode=2) from error
            said["pdf"] = str(page)
        self.stdout.write(json.dumps(said, indent=2))


def _write(path: Path, data: bytes) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        raise CommandError(f"{path} cannot be written: {error.strerror}.", returncode=2) from error
