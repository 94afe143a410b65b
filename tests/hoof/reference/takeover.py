"""Where a foot changed hands, told visit by visit.

A foot is led by the hand that measured at most visits since the last change (of equals, the one
that began first). The lead is away from a visit at which somebody else measures. If nobody there
has stood in before, the foot has changed hands; somebody known must come twice running. Whoever led
the foot before and comes back is no new hand.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tests.hoof.reference.house import (
    HANDOVER_LOG_CHANCE,
    HANDOVER_TRIMS,
    MOST_TRIMS_BACK,
    VISITS_BEFORE,
)
from tests.hoof.reference.rows import Foot, Hand, Row


@dataclass(frozen=True)
class Takeover:
    """A change lies most likely after the trims `first` to `last`; half of the extra chance
    reaches back to `earliest`. Known from the look `known` on."""

    earliest: int
    first: int
    last: int
    known: int

    def extra(self, onset: int) -> float:
        """By how much more an onset weighs beforehand."""
        share = 0.0
        for begin in (self.earliest, self.first):
            if begin <= onset <= self.last:
                share += 0.5 / (self.last - begin + 1)
        return math.exp(HANDOVER_LOG_CHANCE) * share


def takeovers(foot: Foot) -> list[Takeover]:
    """All changes of hands of a foot."""
    rows = [row for row in foot.every_row if row.is_visit]
    visits = [[row for row in rows if row.look == look] for look in sorted({r.look for r in rows})]
    found: list[Takeover] = []
    since = 0  # visits from here on count for who leads
    away_at: int | None = None  # the last trim before the first of two visits without the lead
    led: set[Hand] = set()
    stood_in: set[Hand] = set()
    for number, visit in enumerate(visits):
        present = _measuring(visit)
        lead = _lead(visits[since:number], visits[:number])
        if lead is None or lead in present:
            away_at = None
            continue
        first_without = max(_last_before(row) for row in visit)
        if away_at is None and present & stood_in:
            away_at = first_without
            continue
        last = first_without if away_at is None else away_at
        away_at = None
        since = number
        comes_back = bool(present & led)
        led.add(lead)
        stood_in |= present
        if comes_back or number < VISITS_BEFORE:
            continue
        read = max(row.c for v in visits[: number + 1] for row in v if row.hand == lead)
        first = max(min(read, last), last - MOST_TRIMS_BACK)
        began = min(_began(visits[: number + 1], hand) for hand in present)
        earliest = max(min(began, first), last - MOST_TRIMS_BACK)
        found.append(Takeover(earliest, first, last, visit[0].look))
    return found


def _last_before(row: Row) -> int:
    """The last trim before the visit: a reading after the trim stands on the next one."""
    return row.c - 1 if row.is_after else row.c


def _measuring(visit: Sequence[Row]) -> set[Hand]:
    """Who measured after the trim most likely made it; else whoever measured."""
    return {row.hand for row in visit if row.is_after} or {row.hand for row in visit}


def _began(visits: Sequence[Sequence[Row]], hand: Hand) -> int:
    """The last trim before this hand's first reading."""
    for visit in visits:
        rows = [row for row in visit if row.hand == hand]
        if rows:
            return _last_before(min(rows, key=lambda row: row.c))
    raise LookupError(hand)


def _lead(regime: Sequence[Sequence[Row]], so_far: Sequence[Sequence[Row]]) -> Hand | None:
    counts: dict[Hand, int] = {}
    for visit in regime:
        for hand in _measuring(visit):
            counts[hand] = counts.get(hand, 0) + 1
    if not counts:
        return None
    return min(counts, key=lambda h: (-counts[h], _began(so_far, h), f"{h[0].value}\0{h[1]}"))


def hand_chances(
    changes: Sequence[Takeover], look: int, last_trim: int, onsets: Sequence[int]
) -> dict[int, float]:
    """By onset, how much more it weighs at a look because hands changed there."""
    chances: dict[int, float] = {}
    for onset in onsets:
        extra = sum(
            change.extra(onset)
            for change in changes
            if look >= change.known and last_trim - change.last <= HANDOVER_TRIMS
        )
        if extra > 0:
            chances[onset] = extra
    return chances
