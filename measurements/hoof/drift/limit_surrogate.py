"""The alarm limits worked out from a few features of a foot's dates, instead of from simulated paths.

A limit is a quadratic function of the features (`limit_features`), fitted by ridge regression to
limits that were simulated on many feet drawn by chance: `python -m tests.bench.train_limits` writes
the table from fixed seeds, and a test holds it to fresh simulations. Where a foot lies outside of
what the table was fitted to, nothing is said here and the limit is simulated.

Decided 2026-11: a limit off 2,000 paths is 5.7 % uncertain, and with a fixed seed all feet of one
design share the error; the fit is within 2 % and takes a tenth of the time. The simulation stays as
the reference. The road not taken: more paths, which cost seconds a foot; a kernel fit, which goes
wrong without a sign outside of its designs.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from measurements.hoof.drift.arrays import Bools, Floats
from measurements.hoof.drift.limit_features import ALL_CHANCES, LOG_SCALE, look_features
from measurements.hoof.drift.limit_table import FITS
from measurements.hoof.drift.limits import Judged
from measurements.hoof.drift.looks import Looks
from measurements.hoof.drift.priors import (
    DRIFT_PRIORS,
    DRIFT_QUANTITIES,
    SECOND_TRIM_DOUBT,
    VISITS_PER_FALSE_ALARM,
    DriftPrior,
)

# A feature may lie so much beyond the designs of training, as a share of their range; house default.
_BEYOND = 0.02


@dataclass(frozen=True)
class Surrogate:
    """One fit: features are scaled by `mean` and `scale`, then all their products weighed.

    `low`, `high`: the range of each feature in training; `precision`: the inverse of the scaled
    features' covariance there, and `farthest` the largest distance by it (Mahalanobis, squared).
    """

    mean: Floats
    scale: Floats
    coefficients: Floats
    low: Floats
    high: Floats
    precision: Floats
    farthest: float

    def limits(self, features: Floats) -> Floats:
        """The limit for each row of features."""
        told = products((features - self.mean) / self.scale) @ self.coefficients
        return features[:, ALL_CHANCES] + np.exp(features[:, LOG_SCALE]) * told

    def knows(self, features: Floats) -> Bools:
        """Whether each row lies among what was trained on."""
        slack = _BEYOND * (self.high - self.low)
        within = (features >= self.low - slack) & (features <= self.high + slack)
        scaled = (features - self.mean) / self.scale
        distance = np.einsum("ti,ij,tj->t", scaled, self.precision, scaled)
        return np.asarray(within.all(axis=1) & (distance <= self.farthest))


def products(scaled: Floats) -> Floats:
    """1, each feature, and each product of two, squares included [row, term]."""
    first, second = np.triu_indices(scaled.shape[1])
    ones = np.ones((len(scaled), 1))
    return np.hstack([ones, scaled, scaled[:, first] * scaled[:, second]])


def fit_surrogate(features: Floats, limits: Floats, ridge: float) -> Surrogate:
    """The fit to simulated limits, one a row of features.

    What is fitted is how far a limit lies above the log of all chances, in scales: where the
    readings tell little, the statistic hardly moves, and a small error would be many false alarms.
    """
    wanted = (limits - features[:, ALL_CHANCES]) / np.exp(features[:, LOG_SCALE])
    mean, scale = features.mean(axis=0), features.std(axis=0)
    scaled = (features - mean) / scale
    terms = products(scaled)
    penalty = ridge * np.eye(terms.shape[1])
    penalty[0, 0] = 0.0
    precision = np.linalg.inv(scaled.T @ scaled / len(scaled))
    return Surrogate(
        mean=mean,
        scale=scale,
        coefficients=np.asarray(
            np.linalg.solve(terms.T @ terms + penalty, terms.T @ wanted), dtype=np.float64
        ),
        low=features.min(axis=0),
        high=features.max(axis=0),
        precision=precision,
        farthest=float(np.einsum("ti,ij,tj->t", scaled, precision, scaled).max()),
    )


@lru_cache(maxsize=1)
def surrogates() -> dict[int, Surrogate]:
    """The fits that are shipped, by how many quantities are judged together."""
    return {count: _read(fit) for count, fit in FITS.items()}


def _read(fit: Mapping[str, str]) -> Surrogate:
    numbers = {name: np.array(text.split(), dtype=np.float64) for name, text in fit.items()}
    features = len(numbers["mean"])
    return Surrogate(
        mean=numbers["mean"],
        scale=numbers["scale"],
        coefficients=numbers["coefficients"],
        low=numbers["low"],
        high=numbers["high"],
        precision=numbers["precision"].reshape(features, features),
        farthest=float(numbers["farthest"][0]),
    )


def learned_limits(pair: Sequence[Judged], looks: Looks, visits_per_false_alarm: float) -> Floats:
    """The limit at each look: infinite where nothing is judged, not a number where the table says
    nothing and the limit has to be simulated."""
    limits = np.where(looks.share > 0, np.nan, np.inf)
    if not _is_trained(pair, visits_per_false_alarm):
        return limits
    features = look_features(pair, looks)
    judged = np.isfinite(features).all(axis=1)
    limits[~judged] = np.inf
    surrogate = surrogates()[len(pair)]
    rows = features[judged]
    limits[judged] = np.where(surrogate.knows(rows), surrogate.limits(rows), np.nan)
    return limits


def _is_trained(pair: Sequence[Judged], visits_per_false_alarm: float) -> bool:
    """Whether these are the quantities, priors and false alarms of training. The trims of both may
    vary by another multiple of what the table says."""
    known = [DRIFT_PRIORS[key] for key in DRIFT_QUANTITIES]
    own = known if len(pair) == 2 else [p for p in known if _alike(pair[0], p)][:1]
    ratios = {
        round(judged.prior.trim_sd / prior.trim_sd, 9)
        for judged, prior in zip(pair, own, strict=False)
    }
    return (
        visits_per_false_alarm == VISITS_PER_FALSE_ALARM
        and len(own) == len(pair)
        and all(_alike(judged, prior) for judged, prior in zip(pair, own, strict=True))
        and [judged.trim_scale for judged in pair] == [1.0, SECOND_TRIM_DOUBT][: len(pair)]
        and len(ratios) == 1
    )


def _alike(judged: Judged, prior: DriftPrior) -> bool:
    """Whether the priors are these but for the trim variation."""
    return replace(judged.prior, trim_sd=prior.trim_sd) == prior
