"""Where the hands changed: another person, or another way of measuring, took a foot over.

A foot changes most easily when another farrier begins, and that is when the numbers show it worst:
the new hand reads a little otherwise, so that a fall may be the hand's. A change of the foot is
therefore held likelier beforehand there, as a sudden one too.

Decided 2026-11: from the visit that shows a new hand on, an onset there weighs e^6 times as much
beforehand, as drift and as step, and the limits are simulated with it. Without that, a fall of 3°
at a change of hands hid behind the hand's own offset.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints

# A change at a change of hands is this much likelier beforehand (in logs) than at another trim of
# the same age: the power gained and the price are in the benchmark. House default.
HANDOVER_LOG_CHANCE = 6.0
# It stays so for this many trims: later the readings of the new hand speak for themselves.
HANDOVER_TRIMS = 8
# Of a change at a change of hands, how likely it is a sudden one. House default.
STEP_SHARE = 0.75
VISITS_BEFORE = (
    2  # earlier visits without which nobody has had a foot in their hands; house default
)
MOST_TRIMS_BACK = 4  # a new hand may have measured beside the old one so long; house default


@dataclass(frozen=True)
class HandReading:
    """A reading at a visit: its look, the trim the foot stood on, and who took it how."""

    look: int
    trim: int
    is_after: bool
    source: str


@dataclass(frozen=True)
class Handover:
    """A change of hands: the trims after which a change falls together with it.

    Most likely from `first_onset` (the last trim that the old hand read) to `last_onset`; half as
    likely from `earliest_onset` on, where the new hand began beside the old one. `known_from`: the
    look from which on it is known. `old`: whose foot it was; `new`: whose it is from then on.
    """

    earliest_onset: int
    first_onset: int
    last_onset: int
    known_from: int
    old: str
    new: frozenset[str]

    def is_fresh(self, look: int, last_trim: int) -> bool:
        """Whether it is known by a look and lies only a few trims back."""
        return look >= self.known_from and last_trim - self.last_onset <= HANDOVER_TRIMS

    def shares(self) -> dict[int, float]:
        """How the extra chance is shared by the onsets; the shares sum to 1."""
        shares: dict[int, float] = {}
        for first in (self.earliest_onset, self.first_onset):
            onsets = range(first, self.last_onset + 1)
            for onset in onsets:
                shares[onset] = shares.get(onset, 0.0) + 0.5 / len(onsets)
        return shares


@dataclass(frozen=True)
class HandOnsets:
    """The onsets at changes of hands, as seen at a look, with the logs of what they weigh more."""

    onsets: Ints
    log_chances: Floats


NO_HANDS = HandOnsets(np.zeros(0, dtype=np.int64), np.zeros(0))


@dataclass
class _Regime:
    """Who has measured a foot at its visits so far.

    `counts`: visits by hand since the hands last changed. `first_onset`: the trim after which a
    change shows in all readings of a hand. `last_trim`: the last trim it read. `led`: whose foot it
    has been. `stood_in`: who measured while the lead was away. `away`: the visit before this one
    was made without the lead; the last trim before it.
    """

    counts: Counter[str] = field(default_factory=Counter)
    first_onset: dict[str, int] = field(default_factory=dict)
    last_trim: dict[str, int] = field(default_factory=dict)
    led: set[str] = field(default_factory=set)
    stood_in: set[str] = field(default_factory=set)
    away: int | None = None

    @property
    def lead(self) -> str | None:
        """Who measured at most visits since the hands last changed; of equals the first."""
        if not self.counts:
            return None
        return min(self.counts, key=lambda s: (-self.counts[s], self.first_onset[s], s))

    def take(self, number: int, look: int, rows: Sequence[HandReading]) -> Handover | None:
        """Adds a visit; the change of hands that it makes known."""
        # Who measured after the trim most likely made it.
        present = {row.source for row in rows if row.is_after} or {row.source for row in rows}
        for row in rows:
            self.first_onset.setdefault(row.source, row.trim - row.is_after)
        found = self._change(number, look, rows, present)
        for row in rows:
            self.last_trim[row.source] = max(row.trim, self.last_trim.get(row.source, row.trim))
        self.counts.update(present)
        return found

    def _change(
        self, number: int, look: int, rows: Sequence[HandReading], present: set[str]
    ) -> Handover | None:
        lead = self.lead
        if lead is None or lead in present:
            self.away = None
            return None
        last = self.away
        if last is None:
            last = max(row.trim - row.is_after for row in rows)
            if not present.isdisjoint(self.stood_in):
                self.away = last
                return None  # somebody known stands in, perhaps once
        read = [self.last_trim[lead], *(row.trim for row in rows if row.source == lead)]
        first = max(min(max(read), last), last - MOST_TRIMS_BACK)
        began = min(self.first_onset[source] for source in present)
        was_known = not present.isdisjoint(self.led)
        self.led.add(lead)
        self.stood_in |= present
        self.counts.clear()
        self.away = None
        if was_known or number < VISITS_BEFORE:
            return None
        earliest = max(min(began, first), last - MOST_TRIMS_BACK)
        return Handover(earliest, first, last, look, lead, frozenset(present))


def find_handovers(readings: Iterable[HandReading]) -> tuple[Handover, ...]:
    """The changes of hands of a foot, each known from a visit on, whatever comes later.

    The one who measured most is away from a visit where somebody else measures for the first time
    without them, or from two visits running. Whoever had the foot before and comes back is no new hand: how they read is known.
    """
    regime = _Regime()
    found = []
    by_look = groupby(sorted(readings, key=lambda r: (r.look, r.trim, r.source)), lambda r: r.look)
    for number, (look, rows) in enumerate(by_look):
        handover = regime.take(number, look, list(rows))
        if handover is not None:
            found.append(handover)
    return tuple(found)


def hand_onsets(
    handovers: Sequence[Handover], look: int, last_trim: int, onsets: Ints, log_chances: Floats
) -> HandOnsets:
    """Which of the onsets considered at a look fall together with a change of hands known by then.

    `onsets` with `log_chances`: those considered and how likely each is beforehand without it. The
    extra chance of one change of hands is shared by its onsets.
    """
    weights: dict[int, float] = {}
    for handover in handovers:
        if not handover.is_fresh(look, last_trim):
            continue
        for onset, share in handover.shares().items():
            extra = float(np.exp(HANDOVER_LOG_CHANCE)) * share
            weights[onset] = weights.get(onset, 0.0) + extra
    places = [place for place, onset in enumerate(onsets) if int(onset) in weights]
    if not places:
        return NO_HANDS
    likelier = np.array([weights[int(onset)] for onset in onsets[places]])
    return HandOnsets(onsets[places], np.log(likelier) + log_chances[places])
