"""How a foot changes between two trims, and how to take that change out of a reading.

Inside a cycle a shod toe angle usually falls and its toe lengthens, while a barefoot foot under
wear may do the opposite (Malone & Davies, Animals 2019;9:1017). The trim puts it back. A change
that growth explains is no change of the foot.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import Quantity, Shoeing
from measurements.hoof.series import SeriesReading, UnusableReading

CYCLE_DAYS = 56.0  # the eight weeks that the published changes span (van Heel 2005)


@dataclass(frozen=True)
class Growth:
    """The change in 56 days since the trim: mean and horse-to-horse SD, base unit, signed."""

    mean_per_56_days: float
    sd_per_56_days: float


# Per 56 days as (mean, SD): shod, shod with wedge or pad, barefoot. Negative falls.
_SHOD, _WEDGE, _BARE = Shoeing.SHOD, Shoeing.SHOD_WEDGE, Shoeing.BAREFOOT
_PRIORS: dict[str, dict[Shoeing, Growth]] = {
    # Shod fore feet in 8 weeks -3.5 deg (van Heel 2005, Moleman 2006, as quoted), -3.3 (van Heel,
    # Equine Vet J 2005;37:536-540, from memory); five weeks in five horses showed no significant
    # change (Univ. Guelph thesis). Mean 3.0 and SD 0.8: house default between them. Barefoot rises
    # or falls with wear (Malone & Davies 2019, direction only): 0 with a wide SD, house default.
    "toe_angle": {_SHOD: Growth(-3.0, 0.8), _WEDGE: Growth(-3.0, 1.0), _BARE: Growth(0.0, 2.0)},
    # Heels wear by moving on the shoe (O'Grady; Adams & Stashak 7th ed. p.1092, direction only).
    # Numbers as for the toe angle: house default.
    "heel_angle": {_SHOD: Growth(-3.0, 1.0), _WEDGE: Growth(-3.0, 1.2), _BARE: Growth(0.0, 2.0)},
    # The pastern does not grow; its angle answers a little to the hoof's. House default.
    "pastern_angle": {_SHOD: Growth(0.0, 1.0), _WEDGE: Growth(0.0, 1.0), _BARE: Growth(0.0, 1.0)},
    # Wall growth 7 mm in 28 days (Josseck, Equine Vet J 1995;27:175-182), 6-10 mm a month (The
    # Veterinary Care of the Horse p.196). Barefoot wear takes about half back: house default.
    "toe_length": {_SHOD: Growth(14.0, 3.0), _WEDGE: Growth(14.0, 3.0), _BARE: Growth(7.0, 5.0)},
    # The heel wall grows alike but wears on the shoe. House default.
    "heel_length_medial": {
        _SHOD: Growth(6.0, 4.0),
        _WEDGE: Growth(6.0, 4.0),
        _BARE: Growth(4.0, 5.0),
    },
    "heel_length_lateral": {
        _SHOD: Growth(6.0, 4.0),
        _WEDGE: Growth(6.0, 4.0),
        _BARE: Growth(4.0, 5.0),
    },
    # Frog and ground outline change little in eight weeks. House defaults.
    "frog_width": {_SHOD: Growth(0.0, 3.0), _WEDGE: Growth(0.0, 3.0), _BARE: Growth(0.0, 3.0)},
    "frog_length": {_SHOD: Growth(0.0, 3.0), _WEDGE: Growth(0.0, 3.0), _BARE: Growth(0.0, 3.0)},
    "hoof_width": {_SHOD: Growth(2.0, 3.0), _WEDGE: Growth(2.0, 3.0), _BARE: Growth(2.0, 3.0)},
    "hoof_length": {_SHOD: Growth(4.0, 4.0), _WEDGE: Growth(4.0, 4.0), _BARE: Growth(2.0, 4.0)},
    # Shod minus barefoot -6.5 mm in 7 weeks (Malone & Davies 2019), -7.4 in 56 days, split evenly:
    # house default. SD 6: training -0.6 and rest +1.1 mm a week (Decurnex, Equine Vet J 2009).
    "coronary_circumference": {
        _SHOD: Growth(-3.7, 6.0),
        _WEDGE: Growth(-3.7, 6.0),
        _BARE: Growth(3.7, 6.0),
    },
    # The coffin bone tilts with the hoof: a trim moved both the same way, hoof +1.35 and bone
    # +1.95 deg (Dareh-Shori horses, Iran J Vet Surg, n=10). Mean as the toe angle: house default.
    "palmar_angle": {_SHOD: Growth(-3.0, 1.5), _WEDGE: Growth(-3.0, 1.5), _BARE: Growth(0.0, 2.0)},
    # A trim took 2.9 mm of sole (same study), so about that grows in a cycle. House default.
    "sole_depth": {_SHOD: Growth(3.0, 2.0), _WEDGE: Growth(3.0, 2.0), _BARE: Growth(1.5, 2.5)},
}


def growth_prior(quantity: Quantity, shoeing: Shoeing) -> Growth:
    """What a horse we know nothing of does in 56 days since its trim, base unit, signed.

    Sources and marks beside the table. Raises `HoofError` for a quantity that is not of a foot.
    """
    try:
        return _PRIORS[quantity.key][shoeing]
    except KeyError:
        raise HoofError(f"No growth is known for {quantity.label}.") from None


# Whose published change stands in for a quantity that has none of its own (see the table above).
BORROWED_FROM = {"heel_angle": "toe_angle", "palmar_angle": "toe_angle"}


def borrowed_growth(quantity: Quantity, growth: Growth) -> str | None:
    """The key of the quantity that this growth was borrowed from, or `None`.

    It is the horse's own once its own cycles have said as much as the borrowed prior did, which
    halves the variance. Judged by the narrowest prior, so that it is rather said too often.
    """
    least = min(prior.sd_per_56_days for prior in _PRIORS.get(quantity.key, {}).values())
    own = growth.sd_per_56_days <= least / math.sqrt(2.0)
    return None if own else BORROWED_FROM.get(quantity.key)


def expected_change(growth: Growth, days_since_trim: float) -> tuple[float, float]:
    """The change since the trim after some days (>= 0): its mean and SD, base unit, signed.

    Straight in time. Limits: eight-week studies; far longer intervals are extrapolated.
    """
    cycles = _checked_days(days_since_trim) / CYCLE_DAYS
    return growth.mean_per_56_days * cycles, growth.sd_per_56_days * cycles


def expected_before_trim(
    level: float, level_sd: float, growth: Growth, interval_days: float
) -> tuple[float, float]:
    """What a foot left at `level` after the trim reads at the end of an interval: mean and SD.

    `level` and `level_sd` in the base unit, `interval_days` >= 0 (35 for five weeks). Answers
    "if the interval were shorter". The SD leaves out the error of the coming reading.
    """
    change, change_sd = expected_change(growth, interval_days)
    return level + change, math.hypot(level_sd, change_sd)


def at_trim(values: ArrayLike, days_since_trim: ArrayLike, growth: Growth) -> NDArray[np.float64]:
    """Each value as it would have read just after its trim (the level), base unit.

    `values` and `days_since_trim` (>= 0) have one length. Raises `UnusableReading` for NaN or
    negative days.
    """
    value = np.asarray(values, dtype=np.float64)
    days = np.asarray(days_since_trim, dtype=np.float64)
    if value.shape != days.shape:
        raise UnusableReading("Each value needs its own number of days since the trim.")
    if not (np.isfinite(value).all() and np.isfinite(days).all() and (days >= 0).all()):
        raise UnusableReading("A reading needs a real value and a day on or after its trim.")
    return value - growth.mean_per_56_days * days / CYCLE_DAYS


def own_growth(readings: Sequence[SeriesReading], prior: Growth) -> Growth:
    """The prior brought towards what this horse's own cycles show.

    Only differences inside one cycle count, so that a change of the level cannot pass as
    growth: the within-cycle weighted slope and the prior are averaged by their precisions.
    All readings are taken to be of one quantity, foot and shoeing state.
    """
    information, moment = 0.0, 0.0
    for cycle in _by_trim(readings).values():
        cycles = np.array([reading.days_since_trim for reading in cycle]) / CYCLE_DAYS
        values = np.array([reading.value for reading in cycle])
        weights = np.array([reading.sd for reading in cycle]) ** -2.0
        centred = cycles - np.average(cycles, weights=weights)
        information += float(np.sum(weights * centred**2))
        moment += float(np.sum(weights * centred * values))
    prior_precision = prior.sd_per_56_days**-2.0
    precision = prior_precision + information
    mean = (prior_precision * prior.mean_per_56_days + moment) / precision
    return Growth(mean, precision**-0.5)


def _by_trim(readings: Sequence[SeriesReading]) -> dict[int, list[SeriesReading]]:
    cycles: dict[int, list[SeriesReading]] = defaultdict(list)
    for reading in readings:
        cycles[reading.trim_index].append(reading)
    return cycles


def _checked_days(days: float) -> float:
    if not (math.isfinite(days) and days >= 0):
        raise UnusableReading("Days since the trim must be a real number, zero or more.")
    return days
