"""The order in which a sheet is made shorter.

Closer set; older charts; all charts; closed items; long texts cut ("see board, item 7"); values
without a band, then and now; which way values go; fewer open points and items, what nobody should
act on yet and what the vet leads staying longest; fewer values and bands. Pure.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class PlanFit:
    """How much of a sheet one draft keeps; None keeps all."""

    dense: bool = True
    roomy: bool = False  # set close, with a little air
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


COMFORTABLE = PlanFit(dense=False)
# House defaults, tried on generated plans: each draft is shorter than the one before it.
FITS = (
    COMFORTABLE,
    PlanFit(roomy=True),
    PlanFit(),
    PlanFit(charts=1),
    PlanFit(charts=0),
    PlanFit(charts=0, closed=False),
    PlanFit(charts=0, closed=False, text=500),
    PlanFit(charts=0, closed=False, text=260),
    PlanFit(charts=0, closed=False, text=160),
    PlanFit(charts=0, closed=False, text=160, plain_values=False, then=False, points=6),
    PlanFit(charts=0, closed=False, text=110, plain_values=False, then=False, points=5, items=24),
    PlanFit(charts=0, closed=False, text=90, plain_values=False, then=False, points=4, items=20),
    PlanFit(charts=0, closed=False, text=80, plain_values=False, then=False, points=3, items=16),
    PlanFit(
        charts=0,
        closed=False,
        text=70,
        plain_values=False,
        then=False,
        trend=False,
        points=2,
        items=13,
    ),
    PlanFit(
        charts=0,
        closed=False,
        text=60,
        plain_values=False,
        then=False,
        trend=False,
        points=2,
        items=10,
        values=5,
    ),
    PlanFit(
        charts=0,
        closed=False,
        text=50,
        plain_values=False,
        then=False,
        trend=False,
        points=1,
        items=8,
        values=4,
    ),
    PlanFit(
        charts=0,
        closed=False,
        text=40,
        plain_values=False,
        then=False,
        trend=False,
        points=1,
        items=6,
        values=3,
        bands=1,
    ),
    PlanFit(
        charts=0,
        closed=False,
        text=40,
        plain_values=False,
        then=False,
        trend=False,
        points=0,
        items=4,
        values=3,
        bands=1,
    ),
    PlanFit(
        charts=0,
        closed=False,
        text=30,
        plain_values=False,
        then=False,
        trend=False,
        points=0,
        items=2,
        values=2,
        bands=1,
        bare=True,
    ),
    PlanFit(
        charts=0,
        closed=False,
        text=20,
        plain_values=False,
        then=False,
        trend=False,
        points=0,
        items=1,
        values=1,
        bands=1,
        bare=True,
    ),
)
