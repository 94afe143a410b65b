"""What is believed about a quantity before its first reading, in one table with sources.

Letters of the model y = b - g x + u + delta max(0, c - tau) + e and their names here:
b level, g growth (signed here: the change per 56 days), u trim variation, delta drift per cycle,
tau onset, e measuring error (kept with the readings, not here).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from measurements.hoof.growth import CYCLE_DAYS, Growth, growth_prior
from measurements.hoof.quantities import QUANTITIES, BaseUnit, Quantity, Shoeing

GROWTH_PERIOD_DAYS = CYCLE_DAYS
ONSETS_CONSIDERED = 14  # trims back from now, about two years; house default
VISITS_PER_FALSE_ALARM = 100.0  # per foot: four feet give one in 25 visits, over three years
VISITS_NEEDED = 3  # house default: two visits cannot tell a change from an error

# A reading is off when it misses what the other readings say by more than this many SDs:
# its weight falls from the first, and a second measurement is asked for from the second.
# House defaults, within the usual range of Huber-type tuning constants.
DOWNWEIGHT_FROM_SD = 2.5
ASK_AGAIN_FROM_SD = 3.5

# The error and the trim variation are only known roughly: the evidence is averaged over these
# multiples of the error SD and over these trim SDs (as multiples of the table's), with these
# chances beforehand. House defaults, chosen with the benchmark so that careless measuring raises
# few false alarms and a true drift is still seen early.
ERROR_SCALES = (0.65, 1.0, 1.5)
ERROR_CHANCES = (1 / 8, 5 / 8, 2 / 8)
TRIM_SCALES = (0.55 / 0.7, 0.85 / 0.7, 1.35 / 0.7)
TRIM_CHANCES = (6 / 9, 2 / 9, 1 / 9)

# The toe and the heel angle of a foot are left by the same trim: how far it leaves the one from its
# level goes with the other by this correlation, and the heel varies so many times as much as the
# toe. The limits of a pair are simulated so. House defaults, chosen with the benchmark so that the
# limits hold for correlations of 0 to .8 and a heel that varies as much or half as much again.
SHARED_TRIM = 0.8
SECOND_TRIM_SCALE = 1.2
# Decided 2026-11: the limits share a trim and the heel weighs less. The road not taken: the joint
# covariance in the statistic, which gains only where the toe moves alone and costs several times as
# much; a heel that weighs still less hid one that moves alone.
# What one trim leaves in both is not evidence twice: beside a toe, the heel's trims are taken to vary
# so many times as much as the table says while a drift is looked for, so that the heel weighs less.
# More would hide a heel that moves alone. House default, chosen with the benchmark.
SECOND_TRIM_DOUBT = 1.5

# An onset one trim further back is this much as likely beforehand, when looking for a drift: an
# older one would mostly have been found already. House default, chosen with the benchmark.
ONSET_KEEP = 0.85

# Share of a planned change that is really made, as a relative SD. House default.
PLAN_FULFILMENT_SD = 0.25


@dataclass(frozen=True)
class DriftPrior:
    """Priors of one quantity in its base unit (deg or mm).

    `level_mean`, `level_sd`: the level just after a trim, between horses. `growth`: by shoeing
    state (see `growth`). `trim_sd`: how differently two trims leave the same foot. `offset_sd`: how far one
    person with one method reads from another. `drift_sd`: size of a drift per cycle when looking
    for one; `explain_sd`: the same when describing it (wider, so that the table says less).
    `step_sd`: size of a sudden change at one trim. `walk_sd`: slow wandering per trim allowed
    when a reading is compared with its neighbours.
    """

    unit: BaseUnit
    level_mean: float
    level_sd: float
    growth: Mapping[Shoeing, Growth] = field(hash=False)
    trim_sd: float
    offset_sd: float
    drift_sd: float
    explain_sd: float
    step_sd: float
    walk_sd: float


# Level before the first reading, as (mean, SD) between horses. Toe angle 49.1 +/- 5.1 fore and
# 51.8 +/- 4.3 hind (Schade, Cienc Rural 2013;43:456-461), 51.8 +/- 3.5 (Braz J Vet Med article
# 421); the SD is a little wider so that an upright foot is not taken for a wrong reading. Toe
# length 92.1 +/- 9.3 mm (same article). Palmar angle 4.95 +/- 2.46 deg and sole depth
# 22.0 +/- 5.98 mm (published radiograph sample). Others: house defaults from the plausible ranges.
_LEVELS: dict[str, tuple[float, float]] = {
    "toe_angle": (52.0, 6.0),
    "heel_angle": (47.0, 8.0),
    "pastern_angle": (52.0, 6.0),
    "palmar_angle": (5.0, 4.0),
    "toe_length": (90.0, 15.0),
    "heel_length_medial": (40.0, 12.0),
    "heel_length_lateral": (40.0, 12.0),
    "frog_width": (55.0, 15.0),
    "frog_length": (100.0, 20.0),
    "hoof_width": (130.0, 20.0),
    "hoof_length": (135.0, 20.0),
    "coronary_circumference": (380.0, 50.0),
    "sole_depth": (18.0, 6.0),
}

# The other priors, by unit. Deg: trim 0.7, offset 1 (from memory), drift 0.5 and 0.7, step 2,
# walk 0.35. Mm: a trim leaves a length within 3 mm, persons differ by 2. All house defaults.
_SPREADS_DEG = {
    "trim_sd": 0.7,
    "offset_sd": 1.0,
    "drift_sd": 0.5,
    "explain_sd": 0.7,
    "step_sd": 2.0,
    "walk_sd": 0.35,
}
_SPREADS_MM = {
    "trim_sd": 3.0,
    "offset_sd": 2.0,
    "drift_sd": 1.5,
    "explain_sd": 2.5,
    "step_sd": 6.0,
    "walk_sd": 1.0,
}


def _prior(quantity: Quantity) -> DriftPrior:
    mean, sd = _LEVELS[quantity.key]
    growth = {shoeing: growth_prior(quantity, shoeing) for shoeing in Shoeing}
    spreads = _SPREADS_DEG if quantity.is_angle else _SPREADS_MM
    return DriftPrior(quantity.unit, mean, sd, MappingProxyType(growth), **spreads)


DRIFT_PRIORS: Mapping[str, DriftPrior] = MappingProxyType(
    {key: _prior(quantity) for key, quantity in QUANTITIES.items()}
)

# Only these raise a drift alert of their own; both of a foot are judged together.
DRIFT_QUANTITIES = ("toe_angle", "heel_angle")
