"""The moments at which a foot is judged, and how the allowed false alarms are shared among them.

The allowance is per visit. The first judged visits use only a part of theirs, because so short a
record shows little, the measuring error is not yet known from it, and it would mostly be spent on
false alarms. A reading between visits may raise an alarm too: it takes a part from the visit that
follows.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from measurements.hoof.drift.arrays import Bools, Floats, Ints
from measurements.hoof.drift.hands import HandOnsets, Handover, hand_onsets
from measurements.hoof.drift.priors import ONSET_KEEP, ONSETS_CONSIDERED, VISITS_NEEDED

# Part of a visit's allowance that the visits from the third on use, and all later ones: never all
# of it, because the simulated paths lack the wild readings of real ones, which add about a fifth.
# House defaults, chosen with the benchmark.
EARLY_SHARES = (0.1, 0.2, 0.3, 0.4, 0.6, 0.8)
LATER_SHARE = 0.92
# Part of that for the first reading day between two visits. House default.
BETWEEN_PART = 0.15

# A long record is judged on its later part: at least 24 trims (ten more than the onsets need, to
# know the level before), moved on 8 trims at a time. House default.
WINDOW_TRIMS = ONSETS_CONSIDERED + 10
WINDOW_STRIDE = 8


@dataclass(frozen=True)
class Looks:
    """One entry per look, in time: `last_trim` c reached so far, `visits` seen so far, `share` of
    the allowance of one visit (0: not judged here), `window_start` the first trim judged on,
    `at_days` when it began. `handovers`: the changes of hands, each known from a look on."""

    last_trim: Ints
    visits: Ints
    share: Floats
    window_start: Ints
    at_days: Floats
    handovers: tuple[Handover, ...] = ()

    def __len__(self) -> int:
        return len(self.visits)

    def hand_onsets_at(self, look: int, onsets: Ints) -> HandOnsets:
        """Which of these onsets fall together with a change of hands, as seen at a look."""
        last_trim = int(self.last_trim[look])
        chances = onset_log_chances(last_trim, onsets)
        return hand_onsets(self.handovers, look, last_trim, onsets, chances)


def plan_looks(
    look: Ints,
    trim: Ints,
    is_visit: Bools,
    at_days: Floats,
    handovers: tuple[Handover, ...] = (),
) -> Looks:
    """Lays out the looks of a series (or of a pair merged in time).

    All arguments by reading, sorted by time; `is_visit`: taken before or after a trim.
    """
    count = int(look.max()) + 1 if len(look) else 0
    visit_looks = np.zeros(count, dtype=np.bool_)
    np.logical_or.at(visit_looks, look, is_visit)
    trim_of_look = np.zeros(count, dtype=np.int64)
    np.maximum.at(trim_of_look, look, trim)
    last_trim = np.maximum.accumulate(trim_of_look)
    begun = np.full(count, np.inf)
    np.minimum.at(begun, look, at_days)
    visits: Ints = np.cumsum(visit_looks, dtype=np.int64)
    return Looks(
        last_trim=last_trim,
        visits=visits,
        share=_shares(list(visit_looks), list(visits)),
        window_start=_window_starts(last_trim),
        at_days=begun,
        handovers=handovers,
    )


def _shares(visit_looks: Sequence[bool], visits: Sequence[int]) -> Floats:
    """Each visit's allowance, less what the reading days since the last visit have taken."""
    shares = np.zeros(len(visit_looks))
    taken = 0.0
    for index, is_visit in enumerate(visit_looks):
        if visits[index] < VISITS_NEEDED:
            continue
        whole = visit_share(visits[index] if is_visit else visits[index] + 1)
        if is_visit:
            shares[index], taken = whole - taken, 0.0
        elif taken == 0.0:
            shares[index] = taken = BETWEEN_PART * whole
    return shares


def visit_share(visit: int) -> float:
    """The share of one visit's allowance used at the given visit (1 for the first)."""
    if visit < VISITS_NEEDED:
        return 0.0
    place = visit - VISITS_NEEDED
    return EARLY_SHARES[place] if place < len(EARLY_SHARES) else LATER_SHARE


def _window_starts(last_trim: Ints) -> Ints:
    beyond = np.maximum(0, last_trim - WINDOW_TRIMS)
    return -(-beyond // WINDOW_STRIDE) * WINDOW_STRIDE


def onsets_at(last_trim: int, window_start: int, first_onset: int) -> Ints:
    """The trims a drift may have started from, as seen at a look (latest 14, oldest first)."""
    oldest = max(last_trim - ONSETS_CONSIDERED, window_start, first_onset)
    return np.arange(oldest, last_trim, dtype=np.int64)


def all_onsets_at(last_trim: int, window_start: int, first_onset: int) -> Ints:
    """The same without the limit of 14: to describe a change that was found long ago."""
    return np.arange(max(window_start, first_onset), last_trim, dtype=np.int64)


def onset_log_chances(last_trim: int, onsets: Ints) -> Floats:
    """How likely each onset is beforehand, in logs: recent ones more."""
    chances: Floats = np.log(ONSET_KEEP) * (last_trim - onsets).astype(np.float64)
    return chances
