"""Points of any view to values: which function reckons which view."""

from collections.abc import Callable, Mapping

from measurements.hoof.pictures.front_view import measure_front
from measurements.hoof.pictures.measured import TAP_PX, Card, Point, Results
from measurements.hoof.pictures.side_view import measure_side
from measurements.hoof.pictures.sole_view import measure_sole
from measurements.hoof.pictures.whole_horse import measure_whole_horse

BY_CARD: Mapping[str, Callable[..., Results]] = {
    "side": measure_side,
    "front": measure_front,
    "sole": measure_sole,
}


def reckoned(
    view: str,
    points: Mapping[str, Point],
    *,
    card: Card | None = None,
    marker_mm: float | None = None,
    size_px: tuple[float, float] | None = None,
    tap_px: float = TAP_PX,
) -> Results:
    """The values of a view by quantity; each is measured or refused with a reason.

    `points` in px of the kept picture, y down; `marker_mm`: the length of a film's marker; `tap_px`:
    SD of one tap along each axis; `size_px`: width and height of the picture. Nothing for a view that is not measured.
    """
    if view == "whole":
        return measure_whole_horse(points, tap_px=tap_px)
    if view in BY_CARD:
        return BY_CARD[view](points, card=card, size_px=size_px, tap_px=tap_px)
    return {}
