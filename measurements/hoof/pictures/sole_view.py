"""A sole seen straight on, the card lying flat on it: lengths, widths, and where the foot rolls over.

Without the card there is no scale, and nothing is said.
"""

import math
from collections.abc import Mapping

from measurements.hoof.pictures.draws import normal_draws
from measurements.hoof.pictures.flat_view import FlatView
from measurements.hoof.pictures.measured import (
    CARD_OFF_MM_SD,
    TAP_PX,
    Card,
    Floats,
    Measured,
    Point,
    Refused,
    Results,
)
from measurements.hoof.pictures.values import dot, length_mm, summed_up, unit_vectors

HEELS = ("heel_inside", "heel_outside")
WIDEST = ("widest_inside", "widest_outside")
NAMES = (
    *("toe", *HEELS, *WIDEST, "breakover"),
    *("frog_tip", "frog_back", "frog_inside", "frog_outside"),
)
# Along the foot: the line from the middle between the heels to the toe.
NEEDED = {
    "hoof_length": ("toe", *HEELS),
    "hoof_width": ("toe", *HEELS, *WIDEST),
    "frog_length": ("toe", *HEELS, "frog_tip", "frog_back"),
    "frog_width": ("toe", *HEELS, "frog_inside", "frog_outside"),
    "breakover_to_heel": ("toe", *HEELS, "breakover"),
    "breakover_to_widest": ("toe", *HEELS, *WIDEST, "breakover"),
    "widest_to_heel": ("toe", *HEELS, *WIDEST),
}
# A card laid on a sole by hand, and a horn border that is not quite flat. House defaults.
CARD_LEANS_SD_RAD = math.radians(2.0)
DEPTH_MM_SD = 2.0
FROG_DEPTH_MM_SD = 5.0  # the frog may stand back from the border or stand out
FROG = tuple(name for name in NAMES if "frog" in name)


def measure_sole(
    points: Mapping[str, Point],
    *,
    card: Card | None = None,
    size_px: tuple[float, float] | None = None,
    tap_px: float = TAP_PX,
    card_off_mm_sd: float = CARD_OFF_MM_SD,
    focal_px: float | None = None,
) -> Results:
    """What the points on a picture of the sole say, mm; arguments as `measure_side`.

    Returns hoof_length, hoof_width, frog_length, frog_width, breakover_to_heel and the split about
    the widest part: breakover_to_widest and widest_to_heel. Raises `UnusablePicture`.
    """
    view = FlatView(NAMES, NEEDED, ("toe", "heel_inside"), 125.0, tuple(NEEDED), CARD_LEANS_SD_RAD)
    return view.measured(
        points,
        _answer,
        _depth,
        card=card,
        size_px=size_px,
        tap_px=tap_px,
        card_off_mm_sd=card_off_mm_sd,
        focal_px=focal_px,
    )


def _depth(names: tuple[str, ...]) -> Floats:
    own = normal_draws(len(NAMES), "sole depth")[:, [NAMES.index(name) for name in names]].copy()
    for column, name in enumerate(names):
        own[:, column] *= FROG_DEPTH_MM_SD if name in FROG else DEPTH_MM_SD
    return own


def _answer(quantity: str, foot: Mapping[str, Floats]) -> Measured | Refused:
    if quantity == "frog_length":
        return summed_up(length_mm(foot["frog_back"], foot["frog_tip"]), "mm")
    if quantity == "frog_width":
        return summed_up(length_mm(foot["frog_inside"], foot["frog_outside"]), "mm")
    if quantity == "hoof_width":
        return summed_up(length_mm(foot["widest_inside"], foot["widest_outside"]), "mm")
    heel = (foot["heel_inside"] + foot["heel_outside"]) / 2
    along = unit_vectors(foot["toe"] - heel)
    start, end = heel, foot["toe"]
    if quantity.startswith("breakover"):
        end = foot["breakover"]
    if "widest" in quantity:
        widest = (foot["widest_inside"] + foot["widest_outside"]) / 2
        start, end = (widest, end) if quantity.startswith("breakover") else (heel, widest)
    span = dot(end - start, along)
    if span.mean() <= 0:
        return Refused("Toe, widest part and heel are not in that order along the foot.")
    return summed_up(span, "mm")
