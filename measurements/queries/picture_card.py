"""The printed card in a kept picture: searched once, and remembered by the file's fingerprint.

Decided 2026-11-29: asked for when somebody places points, not kept in a row: a better search finds it
on old pictures too. The corners that points were reckoned with are kept with them.
"""

from typing import cast

from django.core.cache import cache

from caseboard.lib.logging.fields import logger
from horses.models import Picture
from measurements.pictures.card_photo import PictureUnreadable, card_in_photo

log = logger("measurements.pictures")

Corners = tuple[tuple[float, float], ...]
KEPT_S = 30 * 24 * 3600  # house default
# The search counts from the middle of the first pixel, points from the picture's corner.
HALF_PX = 0.5


def card_corners(picture: Picture) -> Corners | None:
    """The four corners of the card's square in px, clockwise from the upper left as printed; None
    without a card, and where the picture cannot be searched."""
    key = f"card:{picture.sha256}"
    kept = cache.get(key)
    if kept is None:
        found = _searched(picture)
        if found is None:
            return None
        kept = found
        cache.set(key, kept, KEPT_S)
    return cast(Corners, kept) or None


def _searched(picture: Picture) -> Corners | None:
    """Empty without a card; None where it could not be looked for."""
    try:
        with picture.file.open("rb") as file:
            card = card_in_photo(file.read())
    except (OSError, PictureUnreadable) as error:
        log.error("card.not_searched", error=type(error).__name__)
        return None
    if card is None or card.mirrored:
        return ()
    return tuple((float(x) + HALF_PX, float(y) + HALF_PX) for x, y in card.corners_px)
