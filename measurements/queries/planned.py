"""Movement that the team agreed to, and whether the band it leads to can be meant."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from measurements.hoof.bands import FAR_FROM_LEVEL, band_doubts
from measurements.hoof.quantities import QUANTITIES, Moment
from measurements.models import Target

# Of several bands, the one that steps lead to: first the one for just after the trim.
_ORDER = (Moment.AFTER_TRIM, Moment.ANY_TIME, Moment.END_OF_CYCLE)


def lead_band(bands: Iterable[Target]) -> Target | None:
    return min(bands, key=lambda band: _ORDER.index(Moment(band.moment)), default=None)


def is_believable(movement: Mapping[str, Any], band: Target | None) -> bool:
    """Whether planned movement may count: not on the way to a band that is narrower than the error,
    outside the plausible range, or far from where the foot stood. Steps lead to the nearest edge,
    so that their sum is how far away it was.
    """
    of = QUANTITIES[movement["quantity"]]
    if abs(movement["rate_per_visit"]) * movement["visits"] > FAR_FROM_LEVEL[of.unit]:
        return False
    if band is None:
        return True
    low, high = (None if edge is None else float(edge) for edge in (band.low, band.high))
    return not band_doubts(of, low, high)


def band_that_stood(
    bands: Iterable[Target], movement: Mapping[str, Any], at: datetime
) -> Target | None:
    """The band that the steps led to when they were proposed; `bands` are the horse's, oldest first."""
    about = (movement["foot"], movement["quantity"])
    newest = {t.moment: t for t in bands if (t.foot, t.quantity) == about and t.set_at <= at}
    return lead_band(band for band in newest.values() if band.has_bounds)
