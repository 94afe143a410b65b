"""A foot's readings made ready to be judged: arrays of one or two quantities on shared looks."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from measurements.hoof.drift_arrays import (
    Floats,
    Ints,
    PlannedChange,
    Question,
    build_arrays,
    number_looks,
    sorted_readings,
)
from measurements.hoof.drift_limits import PATHS, SEED, Judged
from measurements.hoof.drift_looks import Looks, plan_looks
from measurements.hoof.drift_priors import DRIFT_PRIORS, DRIFT_QUANTITIES, GROWTH_PERIOD_DAYS
from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import TrimState
from measurements.hoof.series import SeriesReading

Readings = Mapping[str, Sequence[SeriesReading]]
Plans = Mapping[str, Sequence[PlannedChange]]

_METHOD_VERSION = "4"  # raise it when limits or verdicts would come out otherwise


@dataclass(frozen=True)
class FootSeries:
    """What is judged together: quantity `keys` with their arrays (`pair`) and the shared looks."""

    keys: tuple[str, ...]
    pair: tuple[Judged, ...]
    looks: Looks
    first_trim: int

    def trim_days(self, look: int) -> tuple[Ints, Floats]:
        """The trims known at a look and the day of each (median of what its readings say)."""
        trims = np.concatenate([j.arrays.trim[j.arrays.look <= look] for j in self.pair])
        days = np.concatenate(
            [_trim_days(judged)[judged.arrays.look <= look] for judged in self.pair]
        )
        known = np.unique(trims)
        return known, np.array([float(np.median(days[trims == trim])) for trim in known])


def _trim_days(judged: Judged) -> Floats:
    arrays = judged.arrays
    days: Floats = arrays.at_days - arrays.growth_time * GROWTH_PERIOD_DAYS
    return days


def prepare(readings: Readings, plans: Plans, settled_days: float | None) -> FootSeries:
    """Arrays and looks of a foot. Raises `HoofError` for a mixture that is not judged together."""
    keys = _keys_of(readings)
    days = sorted({row.at_days for key in keys for row in readings[key]})
    look_of = dict(zip(days, number_looks(days), strict=True))
    first_trim = min((row.trim_index for key in keys for row in readings[key]), default=0)
    pair = []
    for key in keys:
        question = Question(DRIFT_PRIORS[key], tuple(plans.get(key, ())), settled_days)
        rows = [row for _, row in sorted_readings(readings[key])]
        looks = np.array([look_of[row.at_days] for row in rows], dtype=np.int64)
        pair.append(
            Judged(build_arrays(readings[key], question, looks, first_trim), question.prior)
        )
    return FootSeries(keys, tuple(pair), _looks_of(pair, readings, keys), first_trim)


def _keys_of(readings: Readings) -> tuple[str, ...]:
    keys = tuple(sorted((key for key, rows in readings.items() if rows), key=_place))
    unknown = [key for key in keys if key not in DRIFT_PRIORS]
    if unknown:
        raise HoofError(f"There is no such quantity as {unknown[0]}.")
    if len(keys) > 1 and not set(keys) <= set(DRIFT_QUANTITIES):
        raise HoofError("Only the toe and heel angle of one foot are judged together.")
    return keys


def _place(key: str) -> tuple[int, str]:
    return (DRIFT_QUANTITIES.index(key), key) if key in DRIFT_QUANTITIES else (9, key)


def _looks_of(pair: Sequence[Judged], readings: Readings, keys: Sequence[str]) -> Looks:
    if not pair:
        empty = np.zeros(0, dtype=np.int64)
        return plan_looks(empty, empty, empty.astype(np.bool_), empty.astype(np.float64))
    at_visit = [
        np.array(
            [row.trim_state is not TrimState.BETWEEN for _, row in sorted_readings(readings[key])]
        )
        for key in keys
    ]
    return plan_looks(
        np.concatenate([judged.arrays.look for judged in pair]),
        np.concatenate([judged.arrays.trim for judged in pair]),
        np.concatenate(at_visit),
        np.concatenate([judged.arrays.at_days for judged in pair]),
    )


def limits_key(foot: FootSeries, visits_per_false_alarm: float) -> str:
    """A hash of all that the alarm limits depend on: dates, trims, errors, design; not values."""
    digest = hashlib.sha256()
    settings = (_METHOD_VERSION, foot.keys, visits_per_false_alarm, PATHS, SEED)
    digest.update(repr(settings).encode())
    for judged in foot.pair:
        arrays = judged.arrays
        digest.update(repr((judged.prior, arrays.column_kind, arrays.first_onset)).encode())
        for part in (arrays.sd, arrays.trim, arrays.look, arrays.design, arrays.design_sd):
            digest.update(np.ascontiguousarray(part).tobytes())
    digest.update(foot.looks.share.tobytes())
    return digest.hexdigest()


def series_key(readings: Readings) -> str:
    """A hash of the readings whatever their order: equal readings have equal verdicts."""
    lines = sorted(repr((key, row)) for key, rows in readings.items() for row in set(rows))
    return hashlib.sha256("\n".join([_METHOD_VERSION, *lines]).encode()).hexdigest()
