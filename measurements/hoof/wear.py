"""Wear against growth, from the toe length at the end of one trim and before the next. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass

# Growth of an adult hoof wall, mm a month: The Veterinary Care of the Horse, p. 196.
GROWTH_MM_PER_MONTH = (6.0, 10.0)
MONTH_DAYS = 30.0
SHORTEST_CYCLE_DAYS = 21.0  # house default: over fewer days the tape's error is most of the change
CYCLES = 4  # house default: about the last half year; older wear was on other ground


@dataclass(frozen=True)
class Stretch:
    """One toe from trim to trim: length left, length found, days between."""

    left_mm: float
    found_mm: float
    days: float


@dataclass(frozen=True)
class Wear:
    """What the toe gained a month, and what wear must have taken of its growth."""

    gained_mm: float  # mm a month; negative: it got shorter between trims
    cycles: int

    @property
    def worn_mm(self) -> tuple[float, float]:
        """The least and the most that wear took a month, given the published growth."""
        low, high = GROWTH_MM_PER_MONTH
        return max(0.0, low - self.gained_mm), max(0.0, high - self.gained_mm)

    @property
    def state(self) -> str:
        """ "outruns": no length gained; "some": part of the growth worn off; "little": none."""
        if self.gained_mm <= 0:
            return "outruns"
        return "little" if self.gained_mm >= GROWTH_MM_PER_MONTH[0] else "some"


def wear_of(stretches: Iterable[Stretch]) -> Wear | None:
    """The mean over the last cycles, oldest first, weighted by their days; None without any."""
    used = [s for s in stretches if s.days >= SHORTEST_CYCLE_DAYS][-CYCLES:]
    if not used:
        return None
    gained = sum(s.found_mm - s.left_mm for s in used)
    return Wear(gained / sum(s.days for s in used) * MONTH_DAYS, len(used))
