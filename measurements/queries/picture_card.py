"""The printed card in a kept picture: found once by the server, and remembered."""

from horses.models import Picture

Corners = tuple[tuple[float, float], ...]


def card_corners(picture: Picture) -> Corners | None:
    """The four corners of the card's square in px, clockwise from the upper left as printed; None
    without a card."""
    return None
