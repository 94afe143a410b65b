"""What front and sole have in common: all points lie about one plane, and the card stands in it."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from measurements.hoof.pictures.measured import (
    Card,
    Floats,
    Measured,
    Point,
    Refused,
    Results,
    UnusablePicture,
    checked,
    missing,
    positive,
    refused_all,
)
from measurements.hoof.pictures.side_checks import (
    SMALLEST_GROUND_PX,
    card_trouble,
    turned_trouble,
)
from measurements.hoof.pictures.sightings import (
    CARD_LEANS_SD_RAD,
    Sightings,
    by_card,
    by_eye,
    card_cameras,
    picture_middle,
    tapped,
)

Answer = Callable[[str, Mapping[str, Floats]], Measured | Refused]
Depth = Callable[[tuple[str, ...]], Floats]


@dataclass(frozen=True)
class FlatView:
    """`names` of points, what each quantity has `needed`, the two points of the `base` and its usual
    length (mm), the quantities that are `lengths`, and how far the card leans to the plane (SD)."""

    names: tuple[str, ...]
    needed: Mapping[str, tuple[str, ...]]
    base: tuple[str, str]
    usual_base_mm: float
    lengths: tuple[str, ...]
    leans_sd_rad: float = CARD_LEANS_SD_RAD

    def measured(
        self,
        points: Mapping[str, Point],
        answer: Answer,
        depth: Depth,
        *,
        card: Card | None,
        size_px: tuple[float, float] | None,
        tap_px: float,
        card_off_mm_sd: float,
        focal_px: float | None,
    ) -> Results:
        """Every quantity by `answer` from the places of its points; see `measure_side`."""
        checked(points.values())
        for size in (tap_px, *(size_px or ()), *(() if focal_px is None else (focal_px,))):
            positive(size, "size or error of the picture")
        placed = {name: points[name] for name in self.names if name in points}
        trouble = self._trouble(placed) or (card_trouble(card) if card else None)
        if trouble:
            return refused_all(self.needed, trouble)
        names = tuple(placed)
        seen = tapped(placed, names, tap_px)
        if card is None:
            sightings = self._by_eye(placed, seen, size_px, focal_px)
        else:
            try:
                cameras = card_cameras(card, placed, size_px, focal_px)
            except UnusablePicture as error:
                return refused_all(self.needed, str(error))
            trouble = turned_trouble(cameras, [placed[name] for name in self.base])
            if trouble:
                return refused_all(self.needed, trouble)
            sightings = by_card(cameras, seen, card, card_off_mm_sd, self.leans_sd_rad)
        places = sightings.at(depth(names))
        foot = {name: places[:, place] for place, name in enumerate(names)}
        return {
            quantity: self._one(quantity, placed, foot, answer, card is not None)
            for quantity in self.needed
        }

    def _one(
        self,
        quantity: str,
        placed: Mapping[str, Point],
        foot: Mapping[str, Floats],
        answer: Answer,
        scaled: bool,
    ) -> Measured | Refused:
        wanting = missing(placed, self.needed[quantity])
        if wanting:
            return wanting
        if quantity in self.lengths and not scaled:
            return Refused("Without the card the picture has no scale.")
        return answer(quantity, foot)

    def _trouble(self, placed: Mapping[str, Point]) -> str | None:
        if not set(self.base) <= placed.keys():
            return f"Needed first: {' and '.join(name.replace('_', ' ') for name in self.base)}."
        first, last = (np.array(placed[name]) for name in self.base)
        if np.hypot(*(last - first)) < SMALLEST_GROUND_PX:
            return "The foot is too small on the picture. Go nearer, or zoom in."
        return None

    def _by_eye(
        self,
        placed: Mapping[str, Point],
        seen: Floats,
        size_px: tuple[float, float] | None,
        focal_px: float | None,
    ) -> Sightings:
        left, right = sorted((np.array(placed[name]) for name in self.base), key=lambda p: p[0])
        along = right - left
        upright = math.atan2(along[1], along[0])
        scale = float(np.hypot(*along)) / self.usual_base_mm
        return by_eye(seen, picture_middle(placed, size_px), scale, upright, focal_px)
