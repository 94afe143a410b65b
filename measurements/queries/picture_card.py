"""The printed card in a kept picture: searched once, and remembered by the file's fingerprint.

Decided 2026-11-29: where its square lies is asked for when somebody places points, not kept in a row: a
better search finds it on old pictures too. The corners that points were reckoned with are kept with them;
the card's number is kept with the picture (measurements/services/picture_card.py).
"""

from dataclasses import dataclass
from typing import cast

from django.core.cache import cache

from caseboard.lib.logging.fields import logger
from horses.models import Picture
from measurements.hoof.feet import Foot, is_left
from measurements.hoof.pictures.card_face import SIDE_MM
from measurements.hoof.pictures.card_find import FoundCard
from measurements.hoof.pictures.look_at import Box, box_by_card
from measurements.pictures.card_photo import PictureUnreadable, card_in_photo

log = logger("measurements.pictures")

Corners = tuple[tuple[float, float], ...]
KEPT_S = 30 * 24 * 3600  # house default
# The search counts from the middle of the first pixel, points from the picture's corner.
HALF_PX = 0.5


@dataclass(frozen=True)
class CardSeen:
    """A card on a picture: its number, and the four corners of its square in px, clockwise from the
    upper left as printed."""

    number: int
    corners: Corners


def card_corners(picture: Picture) -> Corners | None:
    """The corners alone; None without a card, and where the picture cannot be searched."""
    seen = card_on(picture)
    return seen.corners if seen else None


def card_on(picture: Picture) -> CardSeen | None:
    """The same with the card's number."""
    kept = cache.get(_key(picture.sha256))
    if kept is None:
        try:
            with picture.file.open("rb") as file:
                data = file.read()
        except OSError as error:
            log.error("card.not_searched", error=type(error).__name__)
            return None
        return card_searched(data, picture.sha256)
    return _of(kept)


def card_remembered(picture: Picture) -> CardSeen | None:
    """What an earlier search found, without another."""
    return _of(cache.get(_key(picture.sha256)) or ())


def card_searched(jpeg: bytes, sha256: str) -> CardSeen | None:
    """Searches a picture as we drew it, unless it was searched before."""
    kept = cache.get(_key(sha256))
    if kept is None:
        try:
            card = card_in_photo(jpeg)
        except PictureUnreadable as error:
            log.error("card.not_searched", error=type(error).__name__)
            return None
        kept = () if card is None or card.mirrored else (card.number, _corners(card))
        cache.set(_key(sha256), kept, KEPT_S)
    return _of(kept)


def foot_box(picture: Picture, corners: Corners) -> Box:
    """Where on the picture its foot is, told by the card."""
    toe_left = is_left(Foot(picture.foot)) if picture.foot and picture.view == "side" else None
    size = (float(picture.width_px), float(picture.height_px))
    return box_by_card(corners, SIDE_MM, size, toe_left)


def _key(sha256: str) -> str:
    return f"card-seen:{sha256}"


def _of(kept: object) -> CardSeen | None:
    return CardSeen(*cast(tuple[int, Corners], kept)) if kept else None


def _corners(card: FoundCard) -> Corners:
    return tuple((float(x) + HALF_PX, float(y) + HALF_PX) for x, y in card.corners_px)
