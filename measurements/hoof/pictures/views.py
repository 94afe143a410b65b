"""The views that can be measured: which points each asks for, in order, and what it says.

Where points on one picture are asked for, this list is looked at; the names are what is stored.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from measurements.hoof.pictures import film, front_view, side_view, sole_view, whole_horse
from measurements.hoof.pictures.measured import CARD_OFF_MM_SD, TAP_PX, Card, Point, Results
from measurements.hoof.quantities import BaseUnit


@dataclass(frozen=True)
class View:
    """One view: `names` of its points in the order they are placed, and by quantity the names it
    has `needed`. `takes_card`, `takes_marker`: what gives it a scale."""

    key: str
    names: tuple[str, ...]
    needed: Mapping[str, tuple[str, ...]] = field(hash=False)
    takes_card: bool = False
    takes_marker: bool = False

    def unit_of(self, quantity: str) -> BaseUnit:
        """The base unit of one of its quantities."""
        angle = quantity.endswith(("_angle", "_slope", "_line", "_bone")) or "_less_" in quantity
        return "deg" if angle else "mm"


VIEWS = {
    view.key: view
    for view in (
        View("side", side_view.NAMES, side_view.NEEDED, takes_card=True),
        View("front", front_view.NAMES, front_view.NEEDED, takes_card=True),
        View("sole", sole_view.NAMES, sole_view.NEEDED, takes_card=True),
        View("whole", whole_horse.NAMES, whole_horse.NEEDED),
        View("film_side", film.SIDE_NAMES, film.SIDE_NEEDED, takes_marker=True),
        View("film_front", film.FRONT_NAMES, film.FRONT_NEEDED, takes_marker=True),
    )
}


def measure(
    view: str,
    points: Mapping[str, Point],
    *,
    card: Card | None = None,
    marker_mm: float | None = None,
    size_px: tuple[float, float] | None = None,
    tap_px: float = TAP_PX,
    tap_known: bool = False,
    card_off_mm_sd: float | None = None,
    focal_px: float | None = None,
) -> Results:
    """What points on a picture of this view say; arguments as the view's own function.

    Raises `KeyError` for a view that is not in `VIEWS`, and `UnusablePicture`.
    """
    asked = VIEWS[view]
    if asked.takes_marker:
        films = {"film_side": film.measure_film_side, "film_front": film.measure_film_front}
        return films[view](points, marker_mm=marker_mm, tap_px=tap_px)
    if not asked.takes_card:
        return whole_horse.measure_whole_horse(points, tap_px=tap_px)
    if view == "side":
        return side_view.measure_side(
            points,
            card=card,
            size_px=size_px,
            tap_px=tap_px,
            tap_known=tap_known,
            card_off_mm_sd=card_off_mm_sd,
            focal_px=focal_px,
        )
    flat = {"front": front_view.measure_front, "sole": sole_view.measure_sole}
    return flat[view](
        points,
        card=card,
        size_px=size_px,
        tap_px=tap_px,
        card_off_mm_sd=CARD_OFF_MM_SD if card_off_mm_sd is None else card_off_mm_sd,
        focal_px=focal_px,
    )
