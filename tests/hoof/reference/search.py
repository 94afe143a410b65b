"""The search for a change, look by look: the statistic, and whether an alarm stands."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.hoof.reference.covariance import (
    Hands,
    Matrix,
    beliefs_together,
    one_trim,
    residuals,
    trusted,
    wander,
)
from tests.hoof.reference.house import (
    BELIEFS,
    BETWEEN_PART,
    GRID,
    KEEP,
    LATER_SHARE,
    ONSETS_BACK,
    SECOND_TRIM_DOUBT,
    SHARES,
    STEP_SHARE,
    VISITS_NEEDED,
    WINDOW_STRIDE,
    WINDOW_TRIMS,
)
from tests.hoof.reference.rows import Foot, Row
from tests.hoof.reference.takeover import hand_chances, takeovers


@dataclass(frozen=True)
class Look:
    """`last` trim reached, `visits` so far, `share` of the allowance, `start` of the window."""

    number: int
    day: float
    last: int
    visits: int
    is_visit: bool
    share: float
    start: int


def looks_of(foot: Foot) -> list[Look]:
    """The moments at which a foot is judged."""
    looks: list[Look] = []
    last, visits, taken = 0, 0, 0.0
    for number in range(max(row.look for row in foot.every_row) + 1):
        here = [row for row in foot.every_row if row.look == number]
        last = max([last, *(row.c for row in here)])
        is_visit = any(row.is_visit for row in here)
        visits += is_visit
        share = 0.0
        if visits >= VISITS_NEEDED:
            whole = _allowance(visits if is_visit else visits + 1)
            if is_visit:
                share, taken = whole - taken, 0.0
            elif taken == 0.0:
                share = taken = BETWEEN_PART * whole
        beyond = max(0, last - WINDOW_TRIMS)
        start = math.ceil(beyond / WINDOW_STRIDE) * WINDOW_STRIDE
        day = min(row.day for row in here)
        looks.append(Look(number, day, last, visits, is_visit, share, start))
    return looks


def _allowance(visit: int) -> float:
    place = visit - VISITS_NEEDED
    return SHARES[place] if place < len(SHARES) else LATER_SHARE


def drift_column(rows: Sequence[Row], onset: int) -> Matrix:
    """Trims since the onset."""
    return np.array([float(max(0, row.c - onset)) for row in rows])


def step_column(rows: Sequence[Row], onset: int) -> Matrix:
    """1 from the trim after the onset on."""
    return np.array([1.0 if row.c > onset else 0.0 for row in rows])


@dataclass(frozen=True)
class Told:
    """One quantity at one look: its rows, trusted as far as they deserve, under each grid point.

    By grid point: `spread`, V; `log_density` of the readings if nothing changed; `log_weight`, how
    likely the point then is (they sum to 1).
    """

    key: str
    hands: Hands
    has_plan: bool
    rows: list[Row]
    residual: Matrix
    surprise: list[float]
    error: Matrix
    spread: list[Matrix]
    log_density: list[float]
    log_weight: list[float]

    def factors(self, column: Matrix, sd: float) -> list[float]:
        """By grid point, the log of how much likelier the readings are with a change of this SD."""
        moved = sd**2 * np.outer(column, column)
        return [
            log_density(self.residual, spread + moved) - unmoved
            for spread, unmoved in zip(self.spread, self.log_density, strict=True)
        ]

    def evidence(self, column: Matrix, sd: float) -> float:
        """The same averaged over the grid, in logs."""
        return log_sum(
            [w + f for w, f in zip(self.log_weight, self.factors(column, sd), strict=True)]
        )


def log_density(residual: Matrix, spread: Matrix) -> float:
    """Of the multivariate normal, without its constant."""
    inverse = np.linalg.inv(spread)
    log_determinant = float(np.linalg.slogdet(spread)[1])
    return -0.5 * float(residual @ inverse @ residual) - 0.5 * log_determinant


def log_sum(logs: Sequence[float]) -> float:
    """The log of the sum of numbers given by their logs."""
    top = max(logs)
    return top + math.log(sum(math.exp(each - top) for each in logs))


def tell(
    foot: Foot, key: str, look: Look, start: int, jumps: Sequence[int], trim_scale: float
) -> Told | None:
    """A quantity as known at a look, from the trim `start` on; `None` without a reading."""
    rows = [row for row in foot.rows[key] if row.look <= look.number and row.c >= start]
    if not rows:
        return None
    hands, has_plan = Hands(foot, key), bool(foot.plans[key])
    residual = residuals(key, hands, rows)
    shared, trims = beliefs_together(key, hands, rows, rows, has_plan), one_trim(rows)
    plain = np.array([row.sd**2 for row in rows])
    surprise, error = [0.0], plain
    if len(rows) > 1:
        loose = shared + BELIEFS[key].trim_sd ** 2 * trims + wander(key, rows, jumps)
        surprise, error = trusted(loose, residual, plain)
    spread, densities, log_weight = [], [], []
    for error_scale, trim_multiple, chance in GRID:
        trim_sd = BELIEFS[key].trim_sd * trim_multiple * trim_scale
        spread.append(shared + trim_sd**2 * trims + np.diag(error_scale**2 * error))
        densities.append(log_density(residual, spread[-1]))
        log_weight.append(math.log(chance) + densities[-1])
    total = log_sum(log_weight)
    log_weight = [each - total for each in log_weight]
    return Told(
        key, hands, has_plan, rows, residual, surprise, error, spread, densities, log_weight
    )


def asked(foot: Foot, look: Look) -> list[int]:
    """The trims after which a drift may have begun, as asked at a look."""
    oldest = max(look.last - ONSETS_BACK, look.start, foot.first_onset)
    return list(range(oldest, look.last))


def chances_of(foot: Foot, look: Look) -> tuple[dict[int, float], dict[int, float]]:
    """By onset: what it weighs beforehand, and what it weighs more where hands changed."""
    onsets = asked(foot, look)
    plain = {onset: KEEP ** (look.last - onset) for onset in onsets}
    more = hand_chances(takeovers(foot), look.number, look.last, onsets)
    return plain, {onset: extra * plain[onset] for onset, extra in more.items()}


def statistic(foot: Foot, look: Look) -> float | None:
    """The log of the evidence for a change, summed over the onsets; `None` where none is asked."""
    plain, more = chances_of(foot, look)
    told = []
    for number, key in enumerate(foot.rows):
        scale = SECOND_TRIM_DOUBT if number else 1.0
        told.append(tell(foot, key, look, look.start, list(more), scale))
    present = [each for each in told if each is not None]
    if not plain or not present:
        return None
    logs = []
    for onset, chance in plain.items():
        drift = step = 0.0
        for each in present:
            belief = BELIEFS[each.key]
            drift += each.evidence(drift_column(each.rows, onset), belief.drift_sd)
            if onset in more:
                step += each.evidence(step_column(each.rows, onset), belief.step_sd)
        logs.append(math.log(chance) + drift)
        if onset in more:
            logs.append(math.log(more[onset] * (1 - STEP_SHARE)) + drift)
            logs.append(math.log(more[onset] * STEP_SHARE) + step)
    return log_sum(logs)


def even(foot: Foot, look: Look) -> float | None:
    """The statistic of readings that speak neither for a change nor against one."""
    plain, more = chances_of(foot, look)
    total = sum(plain.values()) + sum(more.values())
    return math.log(total) if total else None


def standing_alarm(
    foot: Foot,
    looks: Sequence[Look],
    statistics: Sequence[float | None],
    limits: Sequence[float | None],
) -> int | None:
    """The look that raised the alarm still standing: one stays until nothing speaks for it."""
    alarm: int | None = None
    for look, found, limit in zip(looks, statistics, limits, strict=True):
        if limit is None or found is None:
            continue
        if found > limit:
            alarm = look.number if alarm is None else alarm
        level = even(foot, look)
        if found <= limit and level is not None and found < level:
            alarm = None
    return alarm
