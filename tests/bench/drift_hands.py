"""A change of hands, and a toe and heel left by the same trim: rows of the drift benchmark.

One design a cell, many series on it at once (`drift_batch`), judged with the product's own limits.
A visit every 49 days, measured before and after the trim by gauge; trims vary by 0.7 deg, errors
1.0, 3 % wild (SD 4). Hands: 16 visits, another hand from the trim of the ninth on, each person off
by an SD of 1 deg and on each foot by one of 0.5 besides where other feet come in. Pairs on the same
foot: the new hand measured beside the old one after the last trims before. Trims: 20 visits.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from measurements.hoof.drift.alarm import limits_of
from measurements.hoof.drift.arrays import same_foot_pairs, sorted_readings, source_label
from measurements.hoof.drift.foot import FootSeries, prepare
from measurements.hoof.drift.offsets import HandPair, offset_prior
from measurements.hoof.drift.priors import DRIFT_PRIORS, VISITS_NEEDED, VISITS_PER_FALSE_ALARM
from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading
from tests.bench.drift_batch import batch_statistics

HANDED_OVER = 8  # visits before the change, of hands or of the foot
FALL_DEG, RATE_DEG = 3.0, 0.5
ERROR_SD, TRIM_SD, LEVEL_SD, GROWTH_SD, WILD_SHARE, WILD_SD = 1.0, 0.7, 4.0, 0.8, 0.03, 4.0
PERSON_FOOT_SD = 0.5
OTHER_FEET = ("RF", "LH", "RH")

Row = tuple[str, str, str, bool]  # name, goal, achieved, whether met


@dataclass(frozen=True)
class Hands:
    """Who measures: `before`, the new hand also before its first trim; pairs on the `same` foot and
    on `other` feet; the true SD between persons. `changed`: whether the hands change at all."""

    before: bool = False
    same: int = 0
    other: int = 0
    person_sd: float = 1.0
    changed: bool = True


def _reading(visit: int, state: TrimState, by: str) -> SeriesReading:
    before = state is TrimState.BEFORE
    return SeriesReading(
        at_days=49.0 * visit + 0.04 * (not before),
        value=0.0,
        sd=ERROR_SD,
        trim_index=visit - before,
        days_since_trim=49.0 * before,
        trim_state=state,
        shoeing=Shoeing.SHOD,
        method=Method.GAUGE,
        by=by,
    )


def readings_of(visits: int, hands: Hands) -> list[SeriesReading]:
    """The design: all readings of one quantity, their values left open."""
    rows = []
    for visit in range(visits):
        new = hands.changed and visit >= HANDED_OVER
        before_is_new = new and (hands.before or visit > HANDED_OVER)
        rows.append(_reading(visit, TrimState.BEFORE, "new" if before_is_new else "old"))
        rows.append(_reading(visit, TrimState.AFTER, "new" if new else "old"))
        if HANDED_OVER - hands.same <= visit < HANDED_OVER:
            rows.append(_reading(visit, TrimState.AFTER, "new"))
    return rows


def pairs_of(differences: Sequence[float]) -> list[HandPair]:
    """Pairs on the other feet, in turn."""
    old, new = (source_label(_reading(0, TrimState.AFTER, by)) for by in ("old", "new"))
    return [
        HandPair(0.0, OTHER_FEET[n % 3], old, new, difference, 2**0.5 * ERROR_SD)
        for n, difference in enumerate(differences)
    ]


def _wild(rng: np.random.Generator, shape: tuple[int, ...]) -> np.ndarray:
    return (rng.random(shape) < WILD_SHARE) * rng.normal(0.0, WILD_SD, shape)


def stable(
    foot: FootSeries, paths: int, rng: np.random.Generator, heel_sd: float, correlation: float
) -> list[np.ndarray]:
    """Residuals [reading, path] of feet that do not change, all measured by hands that read alike."""
    trims = max(int(judged.arrays.trim.max()) for judged in foot.pair) + 1
    first = rng.standard_normal((trims, paths))
    found = []
    for place, judged in enumerate(foot.pair):
        arrays, shape = judged.arrays, (len(judged.arrays.trim), paths)
        own = rng.standard_normal((trims, paths))
        mixed = correlation * first + np.sqrt(1.0 - correlation**2) * own
        left = TRIM_SD * first if place == 0 else heel_sd * mixed
        found.append(
            rng.normal(0.0, LEVEL_SD, paths)
            + arrays.growth_time[:, None] * rng.normal(0.0, GROWTH_SD, paths)
            + left[arrays.trim]
            + rng.normal(0.0, ERROR_SD, shape)
            + _wild(rng, shape)
        )
    return found


def alarm_visits(foot: FootSeries, residuals: list[np.ndarray], limits: np.ndarray) -> np.ndarray:
    """The number of the visit (1 for the first) that alarms, infinite where none does."""
    raised = batch_statistics(foot, residuals) > limits[:, None]
    first = np.where(raised.any(axis=0), raised.argmax(axis=0), len(limits))
    return np.append(foot.looks.visits.astype(float), np.inf)[first]


def false_alarms(visits: int, alarms: np.ndarray) -> tuple[float, float]:
    """Per 100 judged visits, with its standard error."""
    count = int(np.isfinite(alarms).sum())
    judged = float((np.minimum(alarms, visits) - VISITS_NEEDED + 1).clip(0).sum())
    return 100.0 * count / judged, 100.0 * count**0.5 / judged


def found_in_six(alarms: np.ndarray) -> float:
    """The share found within six visits of the change; those that alarmed before it left out."""
    late = alarms[alarms > HANDED_OVER]
    return float((late <= HANDED_OVER + 6).mean())


@cache
def _limits(hands: Hands) -> tuple[FootSeries, np.ndarray]:
    pairs = {"toe_angle": pairs_of([0.0] * hands.other)}
    foot = prepare({"toe_angle": readings_of(16, hands)}, {}, None, pairs)
    return foot, limits_of(foot, VISITS_PER_FALSE_ALARM, None)


def _read_by(
    hands: Hands, foot: FootSeries, residual: np.ndarray, rng: np.random.Generator
) -> np.ndarray:
    """Adds how the persons read, less what the pairs on other feet have taught of it.

    What a wild pair leaves is taken out as the product does; its wider uncertainty is not.
    """
    paths = residual.shape[1]
    rows = [row for _, row in sorted_readings(readings_of(16, hands))]
    labels = list(dict.fromkeys(source_label(row) for row in rows))
    persons = hands.person_sd * rng.standard_normal((len(labels), paths))
    by_foot = PERSON_FOOT_SD if hands.other else 0.0
    here = persons + by_foot * rng.standard_normal(persons.shape)
    source = foot.pair[0].arrays.source
    residual = residual + here[source]
    if not hands.other:
        return residual
    feet = persons[:, None] + by_foot * rng.standard_normal((len(labels), len(OTHER_FEET), paths))
    shape = (len(labels), hands.other, paths)
    read = (
        feet[:, np.arange(hands.other) % 3] + rng.normal(0.0, ERROR_SD, shape) + _wild(rng, shape)
    )
    offset_sd, same = DRIFT_PRIORS["toe_angle"].offset_sd, same_foot_pairs(rows)
    taught = [
        offset_prior(labels, offset_sd, pairs_of(list(read[0, :, p] - read[1, :, p])), same).mean
        for p in range(paths)
    ]
    return np.asarray(residual - np.stack(taught, axis=1)[source])


def hands_alarms(hands: Hands, paths: int, seed: int, fall: float) -> np.ndarray:
    """The visits that alarm when the foot falls (or rises) by so much at the change of hands."""
    foot, limits = _limits(hands)
    rng = np.random.default_rng((seed, hands.same, hands.other))
    (residual,) = stable(foot, paths, rng, TRIM_SD, 0.0)
    residual = _read_by(hands, foot, residual, rng)
    # The arrays count trims from the one before the first visit.
    after = foot.pair[0].arrays.trim > HANDED_OVER
    residual += fall * rng.choice([-1.0, 1.0], paths) * after[:, None]
    return alarm_visits(foot, [residual], limits)


FOUND: tuple[tuple[str, Hands, float], ...] = (
    ("the same hands (own goal)", Hands(changed=False), 0.95),
    ("new hands, measured before the first trim", Hands(before=True), 0.70),
    ("new hands, 1 pair on the same foot", Hands(same=1), 0.75),
    ("new hands, 3 pairs on the same foot", Hands(same=3), 0.92),
    ("new hands, 5 pairs on the same foot", Hands(same=5), 0.96),
    ("new hands, 5 pairs on other feet", Hands(other=5), 0.70),
)
QUIET: tuple[tuple[str, Hands], ...] = (
    ("new hands", Hands()),
    *((name, hands) for name, hands, _ in FOUND if hands.changed),
    ("hands twice as far apart, 5 pairs on the same foot", Hands(same=5, person_sd=2.0)),
    ("hands twice as far apart, 5 pairs on other feet", Hands(other=5, person_sd=2.0)),
)


def hands_rows(paths: int, seed: int) -> Iterator[Row]:
    """C12: what is found of 3 deg at a change of hands within six visits, and the false alarms."""
    for name, hands, wanted in FOUND:
        share = found_in_six(hands_alarms(hands, paths, seed, FALL_DEG))
        spread = (share * (1.0 - share) / paths) ** 0.5
        told = f"{share:.3f} ± {spread:.3f}"
        yield f"C12 3 deg, {name}: P6", f">= {wanted:.2f}", told, share >= wanted
    for name, hands in QUIET:
        rate, spread = false_alarms(16, hands_alarms(hands, 2 * paths, seed + 1, 0.0))
        told = f"{rate:.2f} ± {spread:.2f} per 100 visits"
        yield f"C12 stable, {name}", "<= 1.1", told, rate <= 1.1


HEELS = tuple((heel_sd, correlation) for heel_sd in (0.7, 1.05) for correlation in (0.0, 0.4, 0.8))


def trim_rows(paths: int, seed: int) -> Iterator[Row]:
    """C12b: a heel whose trims go with the toe's, and vary up to half as much again."""
    rows = readings_of(20, Hands(changed=False))
    foot = prepare({"toe_angle": rows, "heel_angle": rows}, {}, None)
    limits = limits_of(foot, VISITS_PER_FALSE_ALARM, None)
    for place, (heel_sd, correlation) in enumerate(HEELS):
        name = f"heel trim SD {heel_sd:g}, correlation {correlation:g}"
        rng = np.random.default_rng((seed, place))
        alarms = alarm_visits(foot, stable(foot, 2 * paths, rng, heel_sd, correlation), limits)
        rate, spread = false_alarms(20, alarms)
        told = f"{rate:.2f} ± {spread:.2f} per 100 visits"
        yield f"C12b stable, {name}", "<= 1.1", told, rate <= 1.1
        for moving, wanted in ((("toe_angle", "heel_angle"), 0.92), (("toe_angle",), 0.64)):
            residuals = stable(foot, paths, rng, heel_sd, correlation)
            sign = rng.choice([-1.0, 1.0], paths)
            for key, judged, residual in zip(foot.keys, foot.pair, residuals, strict=True):
                since = np.maximum(0, judged.arrays.trim - HANDED_OVER)[:, None]
                residual += (key in moving) * RATE_DEG * sign * since
            share = found_in_six(alarm_visits(foot, residuals, limits))
            which = "both move" if len(moving) == 2 else "the toe moves"
            told = f"{share:.3f} ± {(share * (1.0 - share) / paths) ** 0.5:.3f}"
            yield f"C12b {which}, {name}: P6", f">= {wanted:.2f}", told, share >= wanted
