"""Made-up series for the drift benchmark. Every constant is an assumption and a parameter.

Visits every 49 days (SD 7, floor 21, 5 % skipped), readings before (10 % missing) and after
(20 % missing) each trim, an owner's reading in 30 % of cycles; growth -3.0 deg per 56 days (SD 0.8
between horses), trims that vary by 0.7 deg, errors of 1.0 deg (owner 1.5), 3 % wild.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from measurements.hoof.growth import CYCLE_DAYS
from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading

VISIT_HOUR_DAYS = 0.04  # an after reading comes an hour after the before reading


@dataclass(frozen=True)
class Scenario:
    """One cell of the benchmark. Errors in deg; `assumed_sd` is what the method is told.

    `rate`: deg per cycle lost or won after the onset; `step`: once, at the trim after it.
    `longer_days`: the interval from the onset on. `heel`: a heel angle measured beside the toe.
    `new_person`: another farrier from the onset on, reading off by an SD of 1 deg.
    `new_shoes`: the shoeing changes at the onset, with a level of its own (SD 3 deg).
    """

    visits: int = 24
    rate: float = 0.0
    step: float = 0.0
    longer_days: float | None = None
    error_sd: float = 1.0
    assumed_sd: float = 1.0
    owner_sd: float = 1.5
    wild_share: float = 0.03
    trim_sd: float = 0.7
    heel: bool = False
    new_person: bool = False
    new_shoes: bool = False

    @property
    def has_change(self) -> bool:
        return self.rate != 0.0 or self.step != 0.0


@dataclass(frozen=True)
class Simulated:
    """A series and the truth behind it. `onset`: last stable trim. `direction`: the change's sign.
    `levels`: true toe level at each visit's trim. `visit_days`: days of the visits. `wild`: which
    toe readings are wild, in the order of `readings["toe_angle"]`."""

    scenario: Scenario
    readings: dict[str, list[SeriesReading]]
    onset: int
    direction: int
    visit_days: np.ndarray
    levels: np.ndarray
    wild: tuple[bool, ...]

    @property
    def true_rate(self) -> float:
        return self.direction * self.scenario.rate


def simulate_many(scenario: Scenario, count: int, seed: int) -> Iterator[Simulated]:
    """Series of one scenario, the same for the same seed."""
    for index in range(count):
        yield simulate(scenario, np.random.default_rng((seed, index)))


def simulate(scenario: Scenario, rng: np.random.Generator) -> Simulated:
    """One series."""
    onset = int(rng.integers(3, 8))  # 4 to 8 stable visits
    direction = int(rng.choice([-1, 1]))
    days = _visit_days(scenario, onset, rng)
    toe = _Foot(scenario, onset, direction, days, rng)
    readings = {"toe_angle": toe.readings}
    if scenario.heel:
        readings["heel_angle"] = _Foot(scenario, onset, direction, days, rng).readings
    return Simulated(scenario, readings, onset, direction, days, toe.levels, tuple(toe.wild))


def _visit_days(scenario: Scenario, onset: int, rng: np.random.Generator) -> np.ndarray:
    gaps = []
    for visit in range(scenario.visits):
        longer = scenario.longer_days is not None and visit > onset
        mean = scenario.longer_days if longer and scenario.longer_days else 49.0
        gap = max(21.0, rng.normal(mean, 7.0))
        gaps.append(gap * (2.0 if visit and rng.random() < 0.05 else 1.0))
    return np.cumsum(gaps)


class _Foot:
    """One quantity of one foot, visit by visit."""

    def __init__(
        self,
        scenario: Scenario,
        onset: int,
        direction: int,
        days: np.ndarray,
        rng: np.random.Generator,
    ) -> None:
        self.scenario, self.onset, self.rng = scenario, onset, rng
        self.growth = rng.normal(-3.0, 0.8)
        self.person_offset = rng.normal(0.0, 1.0) if scenario.new_person else 0.0
        self.shoe_offset = rng.normal(0.0, 3.0) if scenario.new_shoes else 0.0
        trims = np.arange(-1, scenario.visits)
        moved = scenario.rate * np.maximum(0, trims - onset) + scenario.step * (trims > onset)
        self.baseline = rng.normal(52.0, 4.0) + direction * moved
        self.levels = self.baseline[1:]
        self.trim_effects = rng.normal(0.0, scenario.trim_sd, len(trims))
        self.readings: list[SeriesReading] = []
        self.wild: list[bool] = []
        for visit, day in enumerate(days):
            gap = day - (days[visit - 1] if visit else 0.0)
            self._visit(visit, day, gap)

    def _visit(self, visit: int, day: float, gap: float) -> None:
        if self.rng.random() < 0.3:
            since = self.rng.uniform(7.0, gap - 7.0)
            self._read(visit - 1, day - gap + since, since, TrimState.BETWEEN)
        if self.rng.random() >= 0.1:
            self._read(visit - 1, day, gap, TrimState.BEFORE)
        if self.rng.random() >= 0.2:
            self._read(visit, day + VISIT_HOUR_DAYS, 0.0, TrimState.AFTER)

    def _read(self, trim: int, day: float, since: float, state: TrimState) -> None:
        owner = state is TrimState.BETWEEN
        later = trim > self.onset or (state is TrimState.BEFORE and trim == self.onset)
        sd = self.scenario.owner_sd if owner else self.scenario.error_sd
        value = self.baseline[trim + 1] + self.trim_effects[trim + 1]
        value += self.growth * since / CYCLE_DAYS + self.rng.normal(0.0, sd)
        value += self.shoe_offset if trim > self.onset else 0.0
        value += self.person_offset if later and not owner else 0.0
        wild = self.rng.random() < self.scenario.wild_share
        if wild:  # a slip, or the other foot: both about 4 deg off
            value += self.rng.normal(0.0, 4.0)
        self.wild.append(wild)
        new_shoes = self.scenario.new_shoes and trim > self.onset
        new_person = self.scenario.new_person and later
        self.readings.append(
            SeriesReading(
                at_days=day,
                value=value,
                sd=1.5 if owner else self.scenario.assumed_sd,
                trim_index=trim,
                days_since_trim=since,
                trim_state=state,
                shoeing=Shoeing.SHOD_WEDGE if new_shoes else Shoeing.SHOD,
                method=Method.OWNER if owner else Method.GAUGE,
                by="owner" if owner else "second" if new_person else "first",
            )
        )


def with_visits(scenario: Scenario, visits: int) -> Scenario:
    """The scenario with another number of visits."""
    return replace(scenario, visits=visits)
