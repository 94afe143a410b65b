"""A foot's readings made ready to be judged: arrays of one or two quantities on shared looks."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np

from measurements.hoof.drift.arrays import (
    Floats,
    Ints,
    PlannedChange,
    Question,
    build_arrays,
    number_looks,
    sorted_readings,
    source_label,
)
from measurements.hoof.drift.hands import Handover, HandReading, find_handovers
from measurements.hoof.drift.limits import SEED, Judged, paths_for
from measurements.hoof.drift.looks import Looks, plan_looks
from measurements.hoof.drift.offsets import HandPair
from measurements.hoof.drift.priors import (
    DRIFT_PRIORS,
    DRIFT_QUANTITIES,
    GROWTH_PERIOD_DAYS,
    SECOND_TRIM_DOUBT,
)
from measurements.hoof.errors import HoofError
from measurements.hoof.quantities import TrimState
from measurements.hoof.series import SeriesReading

Readings = Mapping[str, Sequence[SeriesReading]]
Plans = Mapping[str, Sequence[PlannedChange]]
Pairs = Mapping[str, Sequence[HandPair]]

_METHOD_VERSION = "7"  # raise it when limits or verdicts would come out otherwise


@dataclass(frozen=True)
class FootSeries:
    """What is judged together: quantity `keys` with their arrays (`pair`) and the shared looks.
    `newest_pair_days`: when hands of it were last compared on another foot (minus infinity: never).
    """

    keys: tuple[str, ...]
    pair: tuple[Judged, ...]
    looks: Looks
    first_trim: int
    newest_pair_days: float = -np.inf

    def trim_days(self, look: int) -> tuple[Ints, Floats]:
        """The trims known at a look and the day of each (median of what its readings say)."""
        told: dict[int, list[float]] = {}
        for judged in self.pair:
            seen = judged.arrays.look <= look
            days = _trim_days(judged)[seen].tolist()
            for trim, day in zip(judged.arrays.trim[seen].tolist(), days, strict=True):
                told.setdefault(trim, []).append(day)
        known = sorted(told)
        return (
            np.array(known, dtype=np.int64),
            np.array([median(told[trim]) for trim in known], dtype=np.float64),
        )


def _trim_days(judged: Judged) -> Floats:
    arrays = judged.arrays
    days: Floats = arrays.at_days - arrays.growth_time * GROWTH_PERIOD_DAYS
    return days


def prepare(
    readings: Readings, plans: Plans, settled_days: float | None, pairs: Pairs | None = None
) -> FootSeries:
    """Arrays and looks of a foot; `pairs` of hands on other feet by quantity key. Raises `HoofError` for a mixture that is not judged together."""
    keys = _keys_of(readings)
    every = [row for key in keys for row in readings[key]]
    days = sorted({row.at_days for row in every})
    look_of = dict(zip(days, number_looks(days), strict=True))
    first_trim = min((row.trim_index for row in every), default=0)
    pair: list[Judged] = []
    for key in keys:
        question = Question(
            DRIFT_PRIORS[key], tuple(plans.get(key, ())), settled_days, _linking(pairs, key)
        )
        rows = [row for _, row in sorted_readings(readings[key])]
        looks = np.array([look_of[row.at_days] for row in rows], dtype=np.int64)
        arrays = build_arrays(readings[key], question, looks, every)
        pair.append(Judged(arrays, question.prior, SECOND_TRIM_DOUBT if pair else 1.0))
    newest = max((p.at_days for key in keys for p in _linking(pairs, key)), default=-np.inf)
    return FootSeries(keys, tuple(pair), _looks_of(pair, readings, keys), first_trim, newest)


def _linking(pairs: Pairs | None, key: str) -> tuple[HandPair, ...]:
    """The pairs of a quantity in one order, whatever order they came in."""
    found = () if pairs is None else pairs.get(key, ())
    return tuple(sorted(set(found), key=lambda p: (p.at_days, p.foot, p.first, p.second, repr(p))))


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
        _handovers(pair, readings, keys),
    )


def _handovers(
    pair: Sequence[Judged], readings: Readings, keys: Sequence[str]
) -> tuple[Handover, ...]:
    """The changes of hands, by the visit readings of all quantities together."""
    return find_handovers(
        HandReading(int(look), int(trim), row.trim_state is TrimState.AFTER, source_label(row))
        for judged, key in zip(pair, keys, strict=True)
        for look, trim, (_, row) in zip(
            judged.arrays.look, judged.arrays.trim, sorted_readings(readings[key]), strict=True
        )
        if row.trim_state is not TrimState.BETWEEN
    )


def limits_key(foot: FootSeries, visits_per_false_alarm: float) -> str:
    """A hash of all that the alarm limits depend on: dates, trims, errors, design; not values."""
    digest = hashlib.sha256()
    settings = (_METHOD_VERSION, foot.keys, visits_per_false_alarm, paths_for(foot.pair), SEED)
    digest.update(repr(settings).encode())
    for judged in foot.pair:
        arrays = judged.arrays
        digest.update(
            repr((judged.prior, judged.trim_scale, arrays.column_kind, arrays.first_onset)).encode()
        )
        for part in (arrays.sd, arrays.trim, arrays.look, arrays.design, arrays.design_sd):
            digest.update(np.ascontiguousarray(part).tobytes())
    digest.update(foot.looks.share.tobytes())
    for change in foot.looks.handovers:
        digest.update(repr((change.known_from, sorted(change.shares().items()))).encode())
    return digest.hexdigest()


def series_key(readings: Readings) -> str:
    """A hash of the readings whatever their order: equal readings have equal verdicts."""
    lines = sorted(repr((key, row)) for key, rows in readings.items() for row in set(rows))
    return hashlib.sha256("\n".join([_METHOD_VERSION, *lines]).encode()).hexdigest()
