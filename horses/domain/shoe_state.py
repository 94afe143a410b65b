"""How a horse is shod, from what happened to each foot. Pure: plain values in, words out.

Decided 2026-11: how a foot is shod is worked out from the work of the visits and the short records
between them (horses/queries/shoes.py), never stored. A lost shoe makes the foot bare from that day,
for the growth as well.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from horses.domain.wording import day_words, foot_words, listed

FEET = ("LF", "RF", "LH", "RH")
FRONTS, HINDS = frozenset({"LF", "RF"}), frozenset({"LH", "RH"})
BAREFOOT = "barefoot"
LOST, VISIT, SAID = "lost", "visit", "said"
# Shoes go on in pairs; a horse goes barefoot, with the fronts, or with all four (trade practice).
SETS = {
    frozenset(): "barefoot",
    FRONTS: "front shoes",
    HINDS: "hind shoes only",
    FRONTS | HINDS: "shod all round",
}
FULL_SETS: tuple[frozenset[str], ...] = (frozenset(), FRONTS, FRONTS | HINDS)


@dataclass(frozen=True)
class ShoeEvent:
    """What one visit or one short record says of one foot."""

    foot: str
    on: date
    at: datetime  # when it was written down: orders what fell on one day
    shoeing: str  # how the foot was left
    kind: str  # VISIT, or a kind of horses.models.ShoeChange
    trimmed: bool = False


@dataclass(frozen=True)
class FootShoe:
    """How one foot is shod now, and since when."""

    foot: str
    shoeing: str
    since: date
    lost_on: date | None  # set while nobody has put the loss right
    lost_times: int  # losses since this foot was last trimmed
    is_said: bool = False  # `since` is the day of which somebody said so; it may be so for longer

    @property
    def is_shod(self) -> bool:
        return self.shoeing != BAREFOOT


@dataclass(frozen=True)
class Shoes:
    """The four feet together. A foot that nothing is known of is left out."""

    feet: dict[str, FootShoe]

    @cached_property
    def shod(self) -> frozenset[str]:
        return frozenset(f for f, state in self.feet.items() if state.is_shod)

    @property
    def lost(self) -> list[FootShoe]:
        return [state for state in self.feet.values() if state.lost_on]

    @property
    def is_known(self) -> bool:
        return len(self.feet) == len(FEET)

    @property
    def is_full_set(self) -> bool:
        return self.shod in FULL_SETS

    @property
    def missing(self) -> tuple[str, ...]:
        """The bare feet whose partner is shod: a pair has both or neither."""
        pairs = [pair for pair in (FRONTS, HINDS) if len(pair & self.shod) == 1]
        return tuple(f for f in FEET if any(f in pair for pair in pairs) and f not in self.shod)

    @property
    def since(self) -> date | None:
        """The day from which it has been this set."""
        return max((state.since for state in self.feet.values()), default=None)

    @property
    def name(self) -> str:
        """ "front shoes", "barefoot", "shoes on the left fore and both hinds": in trade words."""
        if not self.feet:
            return "not recorded yet"
        return SETS.get(self.shod) or "shoes on the " + listed(
            foot_words(f) for f in FEET if f in self.shod
        )

    @property
    def words(self) -> str:
        """The set, since when, and what is lost."""
        if not self.feet:
            return self.name
        since = "as said of" if any(state.is_said for state in self.feet.values()) else "since"
        return f"{self.name} {since} {day_words(self.since)}{self._lost_words}"

    @property
    def short(self) -> str:
        """The set and what is lost, where there is no room for the day."""
        return self.name + self._lost_words

    @property
    def worn(self) -> dict[str, str]:
        """How each foot is shod now."""
        return {foot: state.shoeing for foot, state in self.feet.items()}

    @property
    def _lost_words(self) -> str:
        return "".join(
            f"; {foot_words(s.foot)} shoe lost {day_words(s.lost_on)}" for s in self.lost
        )


def shoes_from(events: Iterable[ShoeEvent]) -> Shoes:
    """The state after all that happened. Any order will do."""
    by_foot: dict[str, list[ShoeEvent]] = {}
    for event in sorted(events, key=lambda e: (e.on, e.at)):
        by_foot.setdefault(event.foot, []).append(event)
    return Shoes({foot: _foot(by_foot[foot]) for foot in FEET if foot in by_foot})


def _foot(events: list[ShoeEvent]) -> FootShoe:
    last = events[-1]
    first = last
    for event in reversed(events):
        if (event.shoeing == BAREFOOT) != (last.shoeing == BAREFOOT):
            break
        first = event
    return FootShoe(
        foot=last.foot,
        shoeing=last.shoeing,
        since=first.on,
        lost_on=first.on if last.kind == LOST else None,
        lost_times=lost_in_cycle(events),
        is_said=first.kind == SAID,
    )


def lost_in_cycle(events: list[ShoeEvent]) -> int:
    """How often one foot has lost its shoe since its last trim. A loss that two people wrote down
    is one loss."""
    count, was_on = 0, True
    for event in events:
        if event.trimmed:
            count = 0
        count += event.kind == LOST and was_on
        was_on = event.kind != LOST
    return count


def lost_again_words(foot: str, times: int) -> str:
    """Said from the second loss on; trade practice, no source."""
    how_often = {2: "twice"}.get(times, f"{times} times")
    return (
        f"The {foot_words(foot)} has lost its shoe {how_often} since the last trim. That is a "
        "question about the shoeing or the turnout, not bad luck: talk it over."
    )
