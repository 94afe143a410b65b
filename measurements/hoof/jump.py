"""A gross jump: so far from the readings before it that it is either a slip or an emergency.

The trend counts a single such reading little. That must not make it silent: it is asked about when
it is typed, and what is kept is measured again at once.

Decided 2026-11: a gross jump is found apart from the trend, is asked about when typed, and alerts
when kept.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from measurements.hoof.growth import CYCLE_DAYS, growth_prior
from measurements.hoof.quantities import QUANTITIES, Z_95_TWO_SIDED, Shoeing
from measurements.hoof.steps import LARGEST_STEP_DEG

# How far beyond growth and measuring error, in the base unit. A trim is advised to change an angle
# by 3 deg at most (a single practitioner's limit, see mechanics): more than that and a margin.
# Lengths: what no ordinary trim takes or leaves. House defaults.
GROSS = {
    "toe_angle": 4.0,
    "heel_angle": 5.0,
    "pastern_angle": 8.0,
    "palmar_angle": 4.0,
    "sole_depth": 5.0,
    "toe_length": 20.0,
    "heel_length_medial": 15.0,
    "heel_length_lateral": 15.0,
}
# How exactly a trim puts a foot back, SD: the drift method's own for angles is below 1 deg. House
# defaults, wide.
TRIM_SD = {"deg": 1.0, "mm": 3.0}
# Readings further apart tell nothing of a sudden change. House default: two long cycles.
WINDOW_DAYS = 112.0
KEPT_FOR_TRIMS = 2  # so many trims later the trend has its own word on it; house default
COMPARED = 2  # the newest readings that a new one may agree with: a trim lies between them


@dataclass(frozen=True)
class JumpPoint:
    """One reading: base unit, error SD (> 0), days on one axis, trims known before it, days since
    the last of those (None when none is known)."""

    value: float
    sd: float
    at_days: float
    trims_before: int
    days_since_trim: float | None
    shoeing: Shoeing


@dataclass(frozen=True)
class Jump:
    """A reading that fits none of those before it. `size`: how far off, growth allowed for; `sd`
    its error. `since` and `again` are places in the points given: where it began, and the
    readings after it that say the same."""

    earlier: int
    since: int
    again: tuple[int, ...]
    size: float
    sd: float


def jump_now(quantity: str, points: Sequence[JumpPoint]) -> Jump | None:
    """The jump that stands after the last of the points (oldest first), if one does.

    It ends with a reading near the old level (it was a slip), with the second trim after it, or
    after `WINDOW_DAYS`. None for quantities without a limit in `GROSS`.
    """
    if quantity not in GROSS:
        return None
    accepted: list[int] = []
    pending: list[int] = []
    for place, point in enumerate(points):
        if pending and _is_past(points[pending[0]], point):
            accepted, pending = pending[-COMPARED:], []
        if _fits(quantity, points, accepted, point):
            accepted, pending = [*accepted, place][-COMPARED:], []
        elif pending and _fits(quantity, points, pending, point):
            pending.append(place)
        else:
            pending = [place]
    if not pending:
        return None
    start = points[pending[0]]
    nearest = min(accepted, key=lambda n: abs(_off(quantity, points[n], start)[0]))
    size, sd = _off(quantity, points[nearest], start)
    return Jump(accepted[-1], pending[0], tuple(pending[1:]), abs(size), sd)


def _is_past(start: JumpPoint, now: JumpPoint) -> bool:
    trims = now.trims_before - start.trims_before
    return trims >= KEPT_FOR_TRIMS or now.at_days - start.at_days > WINDOW_DAYS


def _fits(
    quantity: str, points: Sequence[JumpPoint], places: Iterable[int], now: JumpPoint
) -> bool:
    """Whether it agrees with any of those, or there is none of these months to compare with."""
    near = [points[n] for n in places if now.at_days - points[n].at_days <= WINDOW_DAYS]
    return not near or any(not _is_far(quantity, point, now) for point in near)


def _is_far(quantity: str, earlier: JumpPoint, now: JumpPoint) -> bool:
    size, sd = _off(quantity, earlier, now)
    gross = GROSS[quantity]
    if earlier.shoeing != now.shoeing and QUANTITIES[quantity].is_angle:
        gross += LARGEST_STEP_DEG  # a wedge turns the foot by as much
    return abs(size) > gross + Z_95_TWO_SIDED * sd


def _off(quantity: str, earlier: JumpPoint, now: JumpPoint) -> tuple[float, float]:
    """How far the later reading lies from what growth lets expect, with the SD of that."""
    of = QUANTITIES[quantity]
    growth = growth_prior(of, now.shoeing)
    trim_sd = 0.0
    if now.trims_before == earlier.trims_before:
        grown = spread = now.at_days - earlier.at_days
    else:
        trim_sd = TRIM_SD[of.unit]
        since, before = now.days_since_trim, earlier.days_since_trim
        known = since is not None and before is not None
        grown = (since or 0.0) - (before or 0.0) if known else 0.0
        spread = (since or 0.0) + (before or 0.0) if known else CYCLE_DAYS
    expected = growth.mean_per_56_days * grown / CYCLE_DAYS
    growth_sd = growth.sd_per_56_days * spread / CYCLE_DAYS
    sd = math.sqrt(earlier.sd**2 + now.sd**2 + growth_sd**2 + trim_sd**2)
    return now.value - earlier.value - expected, sd
