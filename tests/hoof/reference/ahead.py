"""When a level leaves its band: drawn many times, one by one, from the exact laws."""

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from measurements.hoof.quantities import Moment
from tests.hoof.reference.explain import Part
from tests.hoof.reference.house import (
    GAP_COUNT,
    GAP_SD_DAYS,
    GAPS_USED,
    HORIZON_DAYS,
    PERIOD_DAYS,
    USUAL_GAP_DAYS,
    USUAL_GAP_SD,
)
from tests.hoof.reference.rows import Row

DRAWS = 8000  # a share is then known to half a point
SEED = 5


@dataclass(frozen=True)
class Rhythm:
    """The day of the last trim, mean days between trims and their SD."""

    last_day: float
    interval: float
    interval_sd: float


def trim_days(rows: Sequence[Row]) -> dict[int, float]:
    """The day of each trim, the middle of what its readings say."""
    return {
        c: median(row.trim_day for row in rows if row.c == c) for c in sorted({r.c for r in rows})
    }


def rhythm_of(days: dict[int, float]) -> Rhythm:
    """How often the foot is trimmed: a trim that nobody measured is a trim all the same."""
    trims = sorted(days)
    gaps = [(b - a, days[b] - days[a]) for a, b in zip(trims, trims[1:], strict=False)]
    gaps = gaps[-GAPS_USED:]
    if not gaps:
        return Rhythm(days[trims[-1]], USUAL_GAP_DAYS, USUAL_GAP_SD)
    interval = sum(length for _, length in gaps) / sum(cycles for cycles, _ in gaps)
    squares = sum((length - cycles * interval) ** 2 / cycles for cycles, length in gaps)
    variance = (GAP_COUNT * GAP_SD_DAYS**2 + squares) / (GAP_COUNT + len(gaps))
    return Rhythm(days[trims[-1]], interval, math.sqrt(variance))


@dataclass(frozen=True)
class Leaving:
    """Sorted days at which drawn feet leave over an edge (infinite: not within two years)."""

    days: list[float]
    outside: float
    interval: float

    @property
    def chance(self) -> float:
        return sum(1 for day in self.days if math.isfinite(day)) / len(self.days)

    def day(self, share: float, later: float) -> float | None:
        """The day by which so large a share has left, so many days later; `None` for never."""
        place = round(share * (len(self.days) - 1))
        found = self.days[place] + later
        return found if math.isfinite(found) else None


Drawn = tuple[float, float, float]  # level, rate, growth


def drawn_feet(
    moving: Sequence[Part], still: Sequence[Part], chance: float, drifts: bool
) -> list[Drawn]:
    """Feet drawn from both laws, a share of `chance` from the moving one."""
    dice = random.Random(SEED)
    total = {id(parts): sum(p.weight for p in parts) for parts in (moving, still) if parts}
    pool = [(chance * p.weight / total[id(moving)], p, drifts) for p in moving if chance > 0]
    pool += [((1 - chance) * p.weight / total[id(still)], p, False) for p in still if chance < 1]
    feet: list[Drawn] = []
    owed = dice.random()
    for weight, part, goes_on in pool:
        owed += weight * DRAWS
        roots = _root(part)
        while owed >= 1.0:
            owed -= 1.0
            normal = [dice.gauss(0.0, 1.0) for _ in range(3)]
            size, level, growth = (
                float(part.mean[i]) + sum(roots[i][j] * normal[j] for j in range(i + 1))
                for i in range(3)
            )
            feet.append((level, size if goes_on else 0.0, growth))
    return feet


def _root(part: Part) -> list[list[float]]:
    """The lower triangle L with L L' the covariance; a row of zeros where nothing varies."""
    root = [[0.0] * 3 for _ in range(3)]
    for i in range(3):
        for j in range(i + 1):
            rest = float(part.spread[i, j]) - sum(root[i][k] * root[j][k] for k in range(j))
            if i == j:
                root[i][i] = math.sqrt(max(0.0, rest))
            elif root[j][j] > 0:
                root[i][j] = rest / root[j][j]
    return root


def leaving(
    feet: Sequence[Drawn], rhythm: Rhythm, sign: int, edge: float, moment: Moment
) -> Leaving:
    """When each drawn foot crosses the edge; `sign`: +1 for a high edge."""
    dice = random.Random(SEED + 1)
    days, outside = [], 0
    for level, rate, growth in feet:
        at_end = moment is Moment.END_OF_CYCLE or (moment is Moment.ANY_TIME and sign * growth > 0)
        lead = rhythm.interval if at_end else 0.0
        room = sign * (edge - level - growth * lead / PERIOD_DAYS)
        wait = _wait(room, sign * rate, rhythm, dice.gauss(0.0, 1.0))
        outside += room <= 0
        days.append(rhythm.last_day + lead + wait if lead + wait <= HORIZON_DAYS else math.inf)
    return Leaving(sorted(days), outside / len(feet), rhythm.interval)


def _wait(room: float, speed: float, rhythm: Rhythm, noise: float) -> float:
    """Days until the room is used up: so many cycles, each as long as they vary."""
    if room <= 0:
        return 0.0
    if speed <= 0:
        return math.inf
    cycles = min(room / speed, HORIZON_DAYS)
    # Less than a cycle varies in proportion, several like independent ones.
    vary = rhythm.interval_sd * min(cycles, math.sqrt(cycles)) * noise
    return max(0.0, cycles * rhythm.interval + vary)
