"""How high the evidence climbs by chance: alarm limits by a simulation of this foot's own dates.

Drift-free feet are drawn from the model, the trim shared by toe and heel, and searched as a real one
is, every reading trusted. At each look the limit lets the allowed share of the feet that are still
quiet alarm.
"""

import math
from collections.abc import Sequence

import numpy as np

from tests.hoof.reference import search
from tests.hoof.reference.covariance import Hands, Matrix, beliefs_together
from tests.hoof.reference.house import (
    BELIEFS,
    GRID,
    SECOND_TRIM_DOUBT,
    SECOND_TRIM_SCALE,
    SHARED_TRIM,
    STEP_SHARE,
    VISITS_PER_FALSE_ALARM,
)
from tests.hoof.reference.rows import Foot, Row
from tests.hoof.reference.search import Look

SEED = 7


def limits_of(foot: Foot, paths: int) -> list[float | None]:
    """The limit at each look; `None` where it is not judged."""
    residuals = _drift_free(foot, paths)
    quiet = np.ones(paths, dtype=bool)
    limits: list[float | None] = []
    for look in search.looks_of(foot):
        found = _statistics(foot, residuals, look) if look.share > 0 else None
        if found is None:
            limits.append(None)
            continue
        limit = float(np.quantile(found[quiet], 1 - look.share / VISITS_PER_FALSE_ALARM))
        quiet &= found <= limit
        limits.append(limit)
    return limits


def _drift_free(foot: Foot, paths: int) -> dict[str, Matrix]:
    """Residuals of feet on which nothing happens, by quantity: readings by paths."""
    dice = np.random.default_rng(SEED)
    trims = sorted({row.c for row in foot.every_row})
    first = {c: dice.standard_normal(paths) for c in trims}
    drawn = {}
    for number, (key, rows) in enumerate(foot.rows.items()):
        shared = beliefs_together(key, Hands(foot, key), rows, rows, bool(foot.plans[key]))
        root = np.linalg.cholesky(shared + 1e-9 * np.eye(len(rows)))
        own = {c: dice.standard_normal(paths) for c in trims}
        table = root @ dice.standard_normal((len(rows), paths))
        for i, row in enumerate(rows):
            trim = first[row.c]
            if number:
                rest = math.sqrt(1 - SHARED_TRIM**2)
                trim = SECOND_TRIM_SCALE * (SHARED_TRIM * first[row.c] + rest * own[row.c])
            table[i] += BELIEFS[key].trim_sd * trim + row.sd * dice.standard_normal(paths)
        drawn[key] = table
    return drawn


def _statistics(foot: Foot, residuals: dict[str, Matrix], look: Look) -> Matrix | None:
    """The statistic of every path at a look."""
    plain, more = search.chances_of(foot, look)
    drifts: dict[int, Matrix | float] = dict.fromkeys(plain, 1.0)
    steps: dict[int, Matrix | float] = dict.fromkeys(more, 1.0)
    seen = False
    for number, (key, rows) in enumerate(foot.rows.items()):
        chosen = [i for i, r in enumerate(rows) if r.look <= look.number and r.c >= look.start]
        if not chosen:
            continue
        seen = True
        part, scale = [rows[i] for i in chosen], SECOND_TRIM_DOUBT if number else 1.0
        belief = BELIEFS[key]
        asked = [(search.drift_column(part, onset), belief.drift_sd) for onset in plain]
        asked += [(search.step_column(part, onset), belief.step_sd) for onset in more]
        factors = _factors(foot, key, part, residuals[key][chosen], asked, scale)
        for onset, factor in zip(plain, factors, strict=False):
            drifts[onset] = drifts[onset] * factor
        for onset, factor in zip(more, factors[len(plain) :], strict=True):
            steps[onset] = steps[onset] * factor
    if not seen or not plain:
        return None
    total = np.zeros(next(iter(residuals.values())).shape[1])
    for onset, chance in plain.items():
        total = total + chance * drifts[onset]
    for onset, chance in more.items():
        total = total + chance * ((1 - STEP_SHARE) * drifts[onset] + STEP_SHARE * steps[onset])
    return np.log(total)


def _factors(
    foot: Foot,
    key: str,
    rows: Sequence[Row],
    residual: Matrix,
    asked: Sequence[tuple[Matrix, float]],
    trim_scale: float,
) -> list[Matrix]:
    """By asked change, its Bayes factor on every path, averaged over the grid."""
    shared = beliefs_together(key, Hands(foot, key), rows, rows, bool(foot.plans[key]))
    trims, error = search.one_trim(rows), np.diag([row.sd**2 for row in rows])
    densities: list[Matrix] = []
    factors: list[list[Matrix]] = []
    for error_scale, trim_multiple, chance in GRID:
        trim_sd = BELIEFS[key].trim_sd * trim_multiple * trim_scale
        spread = shared + trim_sd**2 * trims + error_scale**2 * error
        inverse = np.linalg.inv(spread)
        weighed = inverse @ residual
        misfit = np.einsum("ij,ij->j", residual, weighed) + np.linalg.slogdet(spread)[1]
        densities.append(math.log(chance) - 0.5 * misfit)
        factors.append([])
        for column, sd in asked:
            information = 1 + sd**2 * float(column @ inverse @ column)
            score = column @ weighed
            factors[-1].append(
                np.exp(0.5 * sd**2 * score**2 / information - 0.5 * math.log(information))
            )
    weights = np.exp(np.stack(densities) - np.max(densities, axis=0))
    weights /= weights.sum(axis=0)
    return [
        np.sum([w * by_point[place] for w, by_point in zip(weights, factors, strict=True)], axis=0)
        for place in range(len(asked))
    ]
