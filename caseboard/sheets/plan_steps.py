"""The order in which a sheet is made shorter.

Smaller side views; closer set; older charts; the side views; all charts; closed items; long texts cut ("see board, item 7"); values
without a band, then and now; which way values go; fewer open points and items, what nobody should
act on yet and what the vet leads staying longest; fewer values and bands. Pure.
"""

from dataclasses import dataclass, replace
from typing import Any


@dataclass(frozen=True)
class PlanFit:
    """How much of a sheet one draft keeps; None keeps all."""

    dense: bool = True
    roomy: bool = False  # set close, with a little air
    large: bool = False  # the feet from the side as large as half the page is wide
    sides: bool = True  # the feet from the side
    charts: int = 2  # a foot
    closed: bool = True
    text: int | None = None  # characters of one item
    plain_values: bool = True
    then: bool = True  # the comparison with the sheet before
    trend: bool = True
    points: int | None = None
    items: int | None = None
    values: int | None = None  # a foot, those with a band first
    bands: int | None = None  # a value
    bare: bool = False  # names, numbers and shoeing cut to what fits beside each other


LARGE = PlanFit(dense=False, large=True)
COMFORTABLE = PlanFit(dense=False)
SHORT = PlanFit(sides=False, charts=0, closed=False, plain_values=False, then=False, trend=False)
SHORTER: tuple[dict[str, Any], ...] = (
    {"text": 70, "points": 2, "items": 13},
    {"text": 60, "points": 2, "items": 10, "values": 5},
    {"text": 50, "points": 1, "items": 8, "values": 4},
    {"text": 40, "points": 1, "items": 6, "values": 3, "bands": 1},
    {"text": 40, "points": 0, "items": 5, "values": 3, "bands": 1},
    {"text": 40, "points": 0, "items": 4, "values": 3, "bands": 1},
    {"text": 30, "points": 0, "items": 3, "values": 2, "bands": 1, "bare": True},
    {"text": 30, "points": 0, "items": 2, "values": 2, "bands": 1, "bare": True},
    {"text": 30, "points": 0, "items": 1, "values": 2, "bands": 1, "bare": True},
    {"text": 20, "points": 0, "items": 1, "values": 1, "bands": 1, "bare": True},
)
# House defaults, tried on generated plans: each draft is shorter than the one before it.
FITS = (
    LARGE,
    COMFORTABLE,
    PlanFit(roomy=True),
    PlanFit(),
    PlanFit(charts=1),
    PlanFit(sides=False, charts=1),
    PlanFit(charts=0),
    PlanFit(sides=False, charts=0),
    PlanFit(sides=False, charts=0, closed=False),
    PlanFit(sides=False, charts=0, closed=False, text=500),
    PlanFit(sides=False, charts=0, closed=False, text=260),
    PlanFit(sides=False, charts=0, closed=False, text=160),
    PlanFit(
        sides=False, charts=0, closed=False, text=160, plain_values=False, then=False, points=6
    ),
    PlanFit(
        sides=False,
        charts=0,
        closed=False,
        text=110,
        plain_values=False,
        then=False,
        points=5,
        items=24,
    ),
    PlanFit(
        sides=False,
        charts=0,
        closed=False,
        text=90,
        plain_values=False,
        then=False,
        points=4,
        items=20,
    ),
    PlanFit(
        sides=False,
        charts=0,
        closed=False,
        text=80,
        plain_values=False,
        then=False,
        points=3,
        items=16,
    ),
    *(replace(SHORT, **step) for step in SHORTER),
)
