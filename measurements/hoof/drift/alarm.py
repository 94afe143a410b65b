"""The limits of a foot, whether an alarm stands, and from when on it could be known."""

from collections.abc import MutableMapping

import numpy as np

from measurements.hoof.drift.arrays import SAME_VISIT_DAYS, Floats
from measurements.hoof.drift.foot import FootSeries, limits_key
from measurements.hoof.drift.limit_surrogate import learned_limits
from measurements.hoof.drift.limits import alarm_limits
from measurements.hoof.drift.replay import even_statistics
from measurements.hoof.errors import HoofError

LimitCache = MutableMapping[str, tuple[float, ...]]


def limits_of(foot: FootSeries, visits_per_false_alarm: float, cache: LimitCache | None) -> Floats:
    """The alarm limits of a foot.

    From the table where it knows such a foot. Where it does not, from simulation, which takes a
    while: from the cache if it has them. A look's limit never depends on later readings.
    """
    if not visits_per_false_alarm >= 2:
        raise HoofError("At most one false alarm in two visits can be asked for.")
    learned = learned_limits(foot.pair, foot.looks, visits_per_false_alarm)
    if not np.isnan(learned).any():
        return learned
    key = limits_key(foot, visits_per_false_alarm)
    if cache is not None and key in cache:
        return np.array(cache[key], dtype=np.float64)
    limits = alarm_limits(foot.pair, foot.looks, visits_per_false_alarm, learned)
    if cache is not None:
        cache[key] = tuple(limits.tolist())
    return limits


def standing_alarm(foot: FootSeries, statistics: Floats, limits: Floats) -> int | None:
    """The look at which the alarm that still stands was raised; `None` when none does.

    An alarm stays until the readings speak for no drift: the statistic below the one of readings
    that speak neither for a drift nor against one.
    """
    even = even_statistics(foot.pair, foot.looks)
    alarm: int | None = None
    for look in np.flatnonzero(np.isfinite(limits)):
        if statistics[look] > limits[look]:
            alarm = int(look) if alarm is None else alarm
        elif statistics[look] < even[look]:
            alarm = None
    return alarm


def pairs_came_after(foot: FootSeries, look: int) -> bool:
    """Whether hands were last compared on other feet only after a look."""
    return bool(foot.newest_pair_days > foot.looks.at_days[look] + SAME_VISIT_DAYS)


def certain_at(foot: FootSeries, alarm: int, unaided: int | None) -> int:
    """The look from which an alarm could be known: pairs said nothing before they were taken.

    `alarm`: the look that raises it with all pairs; `unaided`: the one that does without any.
    """
    known = np.flatnonzero(foot.looks.at_days + SAME_VISIT_DAYS >= foot.newest_pair_days)
    by_pairs = int(known[0]) if len(known) else len(foot.looks) - 1
    return max(alarm, by_pairs if unaided is None else min(by_pairs, unaided))
