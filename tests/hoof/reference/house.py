"""What the method believes before the first reading, restated: a table that changes must change here too.

The source of each number stands beside its twin in `measurements/hoof/growth.py` and
`measurements/hoof/drift/`: published levels and growth, and house defaults for the rest.
"""

from dataclasses import dataclass

from measurements.hoof.quantities import Shoeing


@dataclass(frozen=True)
class Belief:
    """Priors of one quantity, base unit; `growth` per 56 days as (mean, SD) by shoeing."""

    level_mean: float
    level_sd: float
    growth: dict[Shoeing, tuple[float, float]]
    trim_sd: float
    offset_sd: float
    drift_sd: float
    explain_sd: float
    step_sd: float
    walk_sd: float


_DEG = (0.7, 1.0, 0.5, 0.7, 2.0, 0.35)
_MM = (3.0, 2.0, 1.5, 2.5, 6.0, 1.0)


def _growth(
    shod: tuple[float, float], wedge: tuple[float, float], bare: tuple[float, float]
) -> dict[Shoeing, tuple[float, float]]:
    return {Shoeing.SHOD: shod, Shoeing.SHOD_WEDGE: wedge, Shoeing.BAREFOOT: bare}


BELIEFS = {
    "toe_angle": Belief(52.0, 6.0, _growth((-3.0, 0.8), (-3.0, 1.0), (0.0, 2.0)), *_DEG),
    "heel_angle": Belief(47.0, 8.0, _growth((-3.0, 1.0), (-3.0, 1.2), (0.0, 2.0)), *_DEG),
    "toe_length": Belief(90.0, 15.0, _growth((14.0, 3.0), (14.0, 3.0), (7.0, 5.0)), *_MM),
}
ORDER = ("toe_angle", "heel_angle", "toe_length")  # the toe speaks first

PERIOD_DAYS = 56.0
SAME_VISIT_DAYS = 0.75
VISITS_NEEDED = 3
ONSETS_BACK = 14
WINDOW_TRIMS, WINDOW_STRIDE = 24, 8
KEEP = 0.85  # an onset one trim further back is so much as likely
SHARES = (0.1, 0.2, 0.3, 0.4, 0.6, 0.8)
LATER_SHARE = 0.92
BETWEEN_PART = 0.15
VISITS_PER_FALSE_ALARM = 100.0

# (error scale, trim SD scale, chance): the evidence is averaged over these.
GRID = [
    (error, trim / 0.7, chance * share)
    for error, chance in ((0.65, 1 / 8), (1.0, 5 / 8), (1.5, 2 / 8))
    for trim, share in ((0.55, 6 / 9), (0.85, 2 / 9), (1.35, 1 / 9))
]
SECOND_TRIM_DOUBT = 1.5  # the heel's trims beside a toe, while looking for a drift
SHARED_TRIM, SECOND_TRIM_SCALE = 0.8, 1.2  # one trim in both angles, while simulating

DOWNWEIGHT_FROM_SD, ASK_AGAIN_FROM_SD, PASSES = 2.5, 3.5, 2
PLAN_SD = 0.25  # share of a plan that is really made

HAND_FOOT_SHARE = 0.5
PAIRS_THAT_TEACH, LOOSENED, LOOSENED_BY_OTHERS = 5, 2.0, 1.25
HANDOVER_LOG_CHANCE, HANDOVER_TRIMS, STEP_SHARE = 6.0, 8, 0.75
VISITS_BEFORE, MOST_TRIMS_BACK = 2, 4

CHANGE_CHANCE = 0.2
UNSEEN_SCALE, UNSEEN_TAIL = 2.0, 0.01
LEAD_LOG_ODDS_OF = 3.0

GAPS_USED, GAP_SD_DAYS, GAP_COUNT, USUAL_GAP_DAYS, USUAL_GAP_SD = 8, 10.0, 3, 49.0, 14.0
HORIZON_DAYS = 730.0
LOW_SHARE, HIGH_SHARE = 0.03, 0.9
