"""A card found on a picture as the mathematics takes it, and what it made of the points as plain values."""

from typing import Any

from measurements.hoof.pictures.card_find import FoundCard
from measurements.hoof.pictures.measured import Card, Measured, Results


def card_of(found: FoundCard, side_mm: float) -> Card:
    """The card to measure by, its square printed with this side.

    On a mirrored picture the corners are named as they appear, which changes no angle and no length:
    the square is the same from both sides.
    """
    corners = found.corners_px[[1, 0, 3, 2]] if found.mirrored else found.corners_px
    a, b, c, d = ((float(x), float(y)) for x, y in corners)
    return Card((a, b, c, d), side_mm, corner_px=found.corner_sd_px)


def result_of(values: Results) -> dict[str, dict[str, Any]]:
    """Each quantity as plain numbers, or the reason why it has none."""
    return {
        quantity: _numbers(value) if isinstance(value, Measured) else {"refused": value.reason}
        for quantity, value in values.items()
    }


def _numbers(value: Measured) -> dict[str, Any]:
    return {
        "value": round(value.value, 4),
        "unit": value.unit,
        "sd": round(value.sd, 4),
        "low95": round(value.low95, 4),
        "high95": round(value.high95, 4),
    }
