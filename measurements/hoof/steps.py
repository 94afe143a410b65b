"""From the present angle to a band in small steps: how many visits, and how much horn each takes.

A plan on paper for vet and farrier to talk over. The foot is looked at again at every visit.
"""

import math
from dataclasses import dataclass

from measurements.hoof.bands import check_band
from measurements.hoof.errors import HoofError
from measurements.hoof.mechanics import (
    PREFERRED_CHANGE_PER_VISIT_DEG,
    WARN_CHANGE_PER_VISIT_DEG,
    heel_raise_mm,
    height_along_wall_mm,
    navicular_load_change_percent,
    sole_taken_mm,
    turn_from_heel_raise_deg,
)

# Wall growth of an adult, 7 mm in 28 days: Josseck, Equine Vet J 1995;27:175-182.
WALL_GROWTH_MM_PER_DAY = 7.0 / 28.0
LARGEST_STEP_DEG = 6.0  # the largest wedge in the load studies; house default as a limit
MAX_STEPS = 40  # house default: years of visits; a longer way needs another plan

_ROUNDING_DEG = 1e-9


class StepImpossible(HoofError):
    """The steps asked for lead nowhere (no change per visit, no growth, or no end in years)."""


@dataclass(frozen=True)
class Step:
    """One visit on the way: angles deg, signed (positive steeper); days from now."""

    visit: int
    at_days: float
    aim_deg: float
    change_deg: float
    heel_raise_mm: float  # what a wedge would need; the same height taken off the toe does it too
    navicular_load_percent: float  # "about"; always shown with its caution
    sole_mm: float  # what trimming it takes of the sole at the tip of the coffin bone


@dataclass(frozen=True)
class StepPlan:
    """The steps (none when already inside), and what to say beside them.

    `is_fast`: a step is over 3 deg, the one published practitioner's limit. `limited_by_horn`: the
    horn that grows between two visits allows less per visit than was asked for.
    """

    steps: tuple[Step, ...]
    is_fast: bool
    limited_by_horn: bool


def steps_to_band(
    level_deg: float,
    low_deg: float | None,
    high_deg: float | None,
    *,
    first_visit_days: float,
    interval_days: float,
    base_length_mm: float,
    change_per_visit_deg: float = PREFERRED_CHANGE_PER_VISIT_DEG,
) -> StepPlan:
    """How many visits bring a toe angle to the nearest edge of a band, and what each one takes.

    `level_deg` is the present after-trim level; the first step is made in `first_visit_days`
    (>= 0), the next ones every `interval_days` (> 0). Each turns the foot by at most
    `change_per_visit_deg` (0 to 6) and by no more than the horn grown in an interval allows when
    trimmed at one end over `base_length_mm` (geometry of `mechanics`). Limits: wear and a shoe's
    own wedge are left out. Raises `StepImpossible`, `BandImpossible`, `OutsideModel`.
    """
    check_band(low_deg, high_deg)
    _check(level_deg, first_visit_days, interval_days, change_per_visit_deg)
    grown_mm = height_along_wall_mm(WALL_GROWTH_MM_PER_DAY * interval_days, level_deg)
    horn_deg = turn_from_heel_raise_deg(min(grown_mm, base_length_mm / 4), base_length_mm)
    stride = min(change_per_visit_deg, horn_deg)
    distance = _distance(level_deg, low_deg, high_deg)
    count = math.ceil(abs(distance) / stride - _ROUNDING_DEG)
    if count > MAX_STEPS:
        raise StepImpossible("At this pace it would take years: plan it another way.")
    steps = []
    for visit in range(1, count + 1):
        done = math.copysign(min(stride * visit, abs(distance)), distance)
        before = math.copysign(stride * (visit - 1), distance)
        at_days = first_visit_days + (visit - 1) * interval_days
        steps.append(_step(visit, at_days, level_deg + done, done - before, base_length_mm))
    return StepPlan(
        steps=tuple(steps),
        is_fast=any(abs(step.change_deg) > WARN_CHANGE_PER_VISIT_DEG for step in steps),
        limited_by_horn=horn_deg < change_per_visit_deg,
    )


def _step(
    visit: int, at_days: float, aim_deg: float, change_deg: float, base_length_mm: float
) -> Step:
    return Step(
        visit=visit,
        at_days=at_days,
        aim_deg=aim_deg,
        change_deg=change_deg,
        heel_raise_mm=heel_raise_mm(change_deg, base_length_mm),
        navicular_load_percent=navicular_load_change_percent(change_deg),
        sole_mm=sole_taken_mm(change_deg, base_length_mm),
    )


def _distance(level: float, low: float | None, high: float | None) -> float:
    if low is not None and level < low:
        return low - level
    if high is not None and level > high:
        return high - level
    return 0.0


def _check(level: float, first: float, interval: float, change: float) -> None:
    if not all(math.isfinite(number) for number in (level, first, interval)) or first < 0:
        raise StepImpossible("Steps need a real level and days that are not in the past.")
    if interval <= 0:
        raise StepImpossible("The visit interval must be more than zero days.")
    if not 0 < change <= LARGEST_STEP_DEG:
        raise StepImpossible("A change per visit is more than 0 and at most 6°.")
