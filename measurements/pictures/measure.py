"""Points and a card on one picture, by view: what the mathematics makes of them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from measurements.hoof.pictures import side_view
from measurements.hoof.pictures.card_find import FoundCard
from measurements.hoof.pictures.measured import Card, Measured, Results
from measurements.pictures.points_file import Points


@dataclass(frozen=True)
class View:
    """What can be measured on one view: its points, and the function that reckons."""

    points: tuple[str, ...]
    reckon: Callable[..., Results]


VIEWS: Mapping[str, View] = {
    "side": View(side_view.NAMES, side_view.measure_side),
}


def card_of(found: FoundCard, side_mm: float) -> Card:
    """The card as the mathematics takes it. On a mirrored picture the corners are named as they
    appear, which changes no angle and no length: the square is the same from both sides."""
    corners = found.corners_px[[1, 0, 3, 2]] if found.mirrored else found.corners_px
    a, b, c, d = ((float(x), float(y)) for x, y in corners)
    return Card((a, b, c, d), side_mm, corner_px=found.corner_sd_px)


def measured(
    view: str, points: Points, card: Card | None, size_px: tuple[int, int], **more: Any
) -> Results:
    """Raises UnusablePicture, with words, when the picture cannot serve at all."""
    width, height = size_px
    return VIEWS[view].reckon(points, card=card, size_px=(float(width), float(height)), **more)


def result_of(values: Results) -> dict[str, dict[str, Any]]:
    """Each quantity as plain numbers, or the reason why it has none."""
    return {
        quantity: _numbers(value) if isinstance(value, Measured) else {"refused": value.reason}
        for quantity, value in values.items()
    }


def _numbers(value: Measured) -> dict[str, Any]:
    return {
        "value": round(value.value, 4),
        "unit": str(value.unit),
        "sd": round(value.sd, 4),
        "low95": round(value.low95, 4),
        "high95": round(value.high95, 4),
    }
