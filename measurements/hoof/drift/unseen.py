"""What a verdict without an alarm cannot rule out: a change that has not been found yet.

A drift of half a degree a visit is found after five visits in every second foot. The level of the
other half would be told as if nothing had happened, and steps and forecasts start from it. So as
long as no alarm stands, the interval of a level holds what it would be without a change and what
it may have come to with one.
"""

from dataclasses import replace

import numpy as np

from measurements.hoof.drift.arrays import Floats
from measurements.hoof.drift.posterior import Draws, Shape, draw
from measurements.hoof.drift.replay import Fit

# How large a drift not yet found may be, as a multiple of the SD used when looking for one, and
# the share of its draws left out at either end. Every onset counts alike: what the readings say of
# it is what misled them. House defaults, chosen with the benchmark (rows "level 95 %"): the feet
# that stay quiet are those whose errors hide the change, so that the plain 95 % of the draws
# would cover about 85 %.
UNSEEN_SCALE = 2.0
UNSEEN_TAIL = 0.01


def unseen_drift(fit: Fit, last_trim: int) -> Draws | None:
    """Draws of the level with a drift that was not found; `None` before a second trim."""
    if not len(fit.onsets):
        return None
    prior = replace(fit.part.prior, explain_sd=UNSEEN_SCALE * fit.part.prior.drift_sd)
    wide = replace(fit, part=replace(fit.part, prior=prior))
    alike = np.full(len(fit.onsets), -np.log(len(fit.onsets)))
    return draw(wide, alike, Shape.DRIFT, last_trim)


def not_ruled_out(low: Floats, high: Floats, drifted: Floats) -> tuple[Floats, Floats]:
    """The lowest and the highest levels that the readings leave open, from the edges of levels
    without a change and draws of the same with one, a row each."""
    least, most = np.quantile(drifted, (UNSEEN_TAIL, 1.0 - UNSEEN_TAIL), axis=1)
    return np.minimum(low, least), np.maximum(high, most)
