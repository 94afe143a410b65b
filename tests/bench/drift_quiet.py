"""Is what a quiet foot is told true: what would have shown, and where the level stands.

The designs here are none that the formula of `drift_power` was fitted to: other intervals, readings
missing, errors, few and many visits, hands that change, 3 % of wild readings.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from measurements.hoof.drift.alarm import limits_of, standing_alarm
from measurements.hoof.drift.foot import FootSeries, prepare
from measurements.hoof.drift.look_statistics import statistics_by_look
from measurements.hoof.drift.looks import Looks
from measurements.hoof.drift.power import would_show
from measurements.hoof.drift.verdict import verdict_at
from measurements.hoof.growth import CYCLE_DAYS
from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading
from tests.bench.drift_simulate import Scenario, Simulated, simulate_many

ALARMS_EVERY = 100.0
Rows = dict[str, list[SeriesReading]]


@dataclass(frozen=True)
class Design:
    """Dates, methods and hands without values. `interval_days`, `sd` (deg) as `missing` shares of
    the readings before and after; `hands_changed`: visits ago (0: never)."""

    visits: int
    interval_days: float
    sd: float
    missing: tuple[float, float] = (0.1, 0.2)
    heel: bool = False
    hands_changed: int = 0


def random_designs(count: int, seed: int) -> Iterator[Design]:
    """Designs of 6 to 24 visits over all that a yard may do."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        visits = int(rng.integers(6, 25))
        yield Design(
            visits=visits,
            interval_days=rng.uniform(35.0, 63.0),
            sd=rng.uniform(0.5, 1.6),
            missing=(rng.uniform(0.0, 0.3), rng.uniform(0.0, 0.3)),
            heel=bool(rng.random() < 0.3),
            hands_changed=int(rng.integers(2, 5)) if visits > 8 and rng.random() < 0.25 else 0,
        )


def rows_of(design: Design, seed: int) -> Rows:
    """The readings of a design, every value 0."""
    rng = np.random.default_rng((seed, 1))
    gaps = np.maximum(21.0, rng.normal(design.interval_days, 7.0, design.visits))
    days = np.cumsum(gaps)
    taken: list[tuple[float, int, float, TrimState]] = []
    for visit, day in enumerate(days):
        before, after = rng.random(2) >= design.missing
        if visit and before:
            taken.append((day, visit - 1, gaps[visit], TrimState.BEFORE))
        if after or not before:
            taken.append((day + 0.04, visit, 0.0, TrimState.AFTER))
    newest = days[-design.hands_changed] - 0.5 if design.hands_changed else np.inf
    keys = ("toe_angle", "heel_angle") if design.heel else ("toe_angle",)
    return {
        key: [
            SeriesReading(
                at_days=float(at),
                value=0.0,
                sd=design.sd,
                trim_index=trim,
                days_since_trim=float(since),
                trim_state=state,
                shoeing=Shoeing.SHOD,
                method=Method.GAUGE,
                by="second" if at > newest else "first",
            )
            for at, trim, since, state in taken
        ]
        for key in keys
    }


def _with_values(
    rows: list[SeriesReading], rng: np.random.Generator, fall: float, onset: int, wild: float
) -> list[SeriesReading]:
    """Values of one foot that falls (or rises) by `fall` from the onset to the last trim."""
    level, growth, offset = rng.normal(52.0, 4.0), rng.normal(-3.0, 0.8), rng.normal(0.0, 1.0)
    last = max(row.trim_index for row in rows)
    trims = rng.normal(0.0, 0.7, last + 1)
    found = []
    for row in rows:
        value = level + growth * row.days_since_trim / CYCLE_DAYS + trims[row.trim_index]
        value += rng.normal(0.0, row.sd) + (offset if row.by == "second" else 0.0)
        value += rng.normal(0.0, 4.0) if rng.random() < wild else 0.0
        value += fall * max(0, row.trim_index - onset) / (last - onset)
        found.append(replace(row, value=float(value)))
    return found


def share_found(
    design: Design, paths: int, seed: int, *, wild: float = 0.03, alone: str | None = None
) -> float | None:
    """How often the change that a quiet foot is told of is found by its last visit; `None` where
    none is told. `alone`: the only quantity that moves. Judged by the product's statistic and
    limits, from the onset on."""
    rows = rows_of(design, seed)
    foot = prepare(rows, {}, None)
    limits = limits_of(foot, ALARMS_EVERY, None)
    told = would_show(foot, len(foot.looks) - 1, limits)
    if told is None:
        return None
    size = told.alike if alone is None else dict(told.alone)[alone]
    onset = int(foot.looks.last_trim[-1]) - told.visits
    looks = _from_onset(foot.looks, onset)
    rng, found = np.random.default_rng((seed, 2)), 0
    for path in range(paths):
        fall = size if path % 2 else -size
        values = {
            key: _with_values(
                rows[key], rng, fall if alone in (None, key) else 0.0, onset + foot.first_trim, wild
            )
            for key in rows
        }
        statistics = statistics_by_look(prepare(values, {}, None).pair, looks, limits)
        found += bool(np.any(statistics > limits))
    return found / paths


def _from_onset(looks: Looks, onset: int) -> Looks:
    return replace(looks, share=np.where(looks.last_trim > onset, looks.share, 0.0))


@dataclass
class Coverage:
    """How often the 95 % interval of the toe's level held the true one, and how wide it was."""

    held: list[bool]
    width: list[float]

    @property
    def share(self) -> float:
        return float(np.mean(self.held))


def level_coverage(
    scenario: Scenario, count: int, seed: int, *, visits_after: int | None = None
) -> Coverage:
    """Over the quiet visits of series: at one visit after the onset, or at all from the third on."""
    coverage = Coverage([], [])
    for series in simulate_many(scenario, count, seed):
        foot = prepare(series.readings, {}, None)
        limits = limits_of(foot, ALARMS_EVERY, None)
        statistics = statistics_by_look(foot.pair, foot.looks)
        for look in _looks_wanted(foot, series, visits_after):
            known = slice(0, look + 1)
            if standing_alarm(foot, statistics, limits[known]) is None:
                verdict = verdict_at(foot, look, statistics, limits, None)
                level = verdict.finding("toe_angle").level
                true = series.levels[int(foot.looks.last_trim[look]) + foot.first_trim]
                coverage.held.append(bool(level.low <= true <= level.high))
                coverage.width.append(level.high - level.low)
    return coverage


def _looks_wanted(foot: FootSeries, series: Simulated, visits_after: int | None) -> list[int]:
    last_days = foot.looks.at_days
    wanted = []
    for visit, day in enumerate(series.visit_days):
        here = np.flatnonzero(np.abs(last_days - day) < 0.5)
        asked = visits_after is None or visit == series.onset + visits_after
        if asked and len(here) and foot.looks.share[here[-1]] > 0:
            wanted.append(int(here[-1]))
    return wanted
