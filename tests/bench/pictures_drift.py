"""Slow change found by pictures alone: `uv run python -m tests.bench.pictures_drift [--quick]`.

A foot seen before and after the trim every 49 days, for 20 visits. From visit 8 on the level falls
or rises by 0.5 deg a trim. Each reading carries its own error: that of a picture with the card, or
one that differs from picture to picture. No outliers, as in the figures it is compared with
(what is possible: .96 by the toe, .99 with the heel). Seeds are fixed.
"""

import argparse
from dataclasses import dataclass

import numpy as np

from measurements.hoof.drift.verdict import first_alarm
from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading

SEED = 1_811
VISITS, ONSET, INTERVAL_DAYS = 20, 7, 49.0
GROWTH_DEG, GROWTH_SD_DEG = -3.0 * 49 / 56, 0.8 * 49 / 56
TRIM_SD_DEG, HEEL_TRIM_SD_DEG, SHARED = 0.7, 0.85, 0.5
TOE_SD_DEG, HEEL_SD_DEG = 0.65, 1.4
FALSE_ALARMS_AT_MOST = 1.1


@dataclass(frozen=True)
class Design:
    """What is measured: error SD (deg) of toe and heel (`None`: not measured); `spread`: how much
    the SD differs from reading to reading, as an SD of its logarithm; the method."""

    name: str
    toe_sd: float
    heel_sd: float | None = None
    spread: float = 0.0
    method: Method = Method.PHOTO_CARD
    goal: float | None = None
    rate: float = 0.5


DESIGNS = (
    Design("toe by gauge 1.0", 1.0, method=Method.GAUGE),
    Design("toe by picture .65", TOE_SD_DEG, goal=0.94),
    Design("toe and heel by picture .65, 1.4", TOE_SD_DEG, HEEL_SD_DEG, goal=0.98),
    Design("toe by picture .65, differing", TOE_SD_DEG, spread=0.35, goal=0.94),
    Design("toe and heel by picture, differing", TOE_SD_DEG, HEEL_SD_DEG, 0.35, goal=0.98),
    Design("toe by picture .6, the card stands", 0.6, goal=0.94),
    Design("toe and heel by picture .6, .8, the card stands", 0.6, 0.8, goal=0.98),
    Design("toe by picture .8, the card is held", 0.8, goal=0.94),
    Design("toe and heel by picture .8, 1.0, the card is held", 0.8, 1.0, goal=0.98),
    Design("toe by picture 1.0 as simulated", 1.0),
    Design("toe and heel by picture 1.0, 1.2", 1.0, 1.2),
)


def foot(design: Design, rate: float, rng: np.random.Generator) -> dict[str, list[SeriesReading]]:
    """The readings of one foot, by quantity."""
    growth = rng.normal(GROWTH_DEG, GROWTH_SD_DEG)
    shared = rng.standard_normal(VISITS + 1)
    readings = {}
    for quantity, sd, trim_sd in (
        ("toe_angle", design.toe_sd, TRIM_SD_DEG),
        ("heel_angle", design.heel_sd, HEEL_TRIM_SD_DEG),
    ):
        if sd is None:
            continue
        own = rng.standard_normal(VISITS + 1)
        mixed = np.sqrt(SHARED) * shared + np.sqrt(1 - SHARED) * own
        trims = np.arange(-1, VISITS)
        level = rng.normal(50, 4) + trim_sd * mixed + rate * np.maximum(0, trims - ONSET)
        readings[quantity] = [
            _reading(design, sd, visit, state, level, growth, rng)
            for visit in range(VISITS)
            for state in (TrimState.BEFORE, TrimState.AFTER)
        ]
    return readings


def _reading(
    design: Design,
    usual_sd: float,
    visit: int,
    state: TrimState,
    level: np.ndarray,
    growth: float,
    rng: np.random.Generator,
) -> SeriesReading:
    after = state is TrimState.AFTER
    sd = usual_sd * float(np.exp(design.spread * rng.standard_normal() - design.spread**2))
    true = level[visit + 1] if after else level[visit] + growth
    return SeriesReading(
        at_days=INTERVAL_DAYS * (visit + 1) + (0.04 if after else 0.0),
        value=float(true + rng.normal(0, sd)),
        sd=sd,
        trim_index=visit if after else visit - 1,
        days_since_trim=0.0 if after else INTERVAL_DAYS,
        trim_state=state,
        shoeing=Shoeing.SHOD,
        method=design.method,
        by="first",
    )


def alarm_visit(readings: dict[str, list[SeriesReading]]) -> int | None:
    """At which visit (from 0) the foot alarms first."""
    alarm = first_alarm(readings)
    if alarm is None or alarm.alarm_days is None:
        return None
    return round(alarm.alarm_days / INTERVAL_DAYS) - 1


def false_alarms(design: Design, count: int) -> tuple[float, float]:
    """False alarms per 100 judged visits of stable feet, and their standard error."""
    alarms = visits = 0
    for index in range(count):
        rng = np.random.default_rng([SEED, 1, index])
        seen = alarm_visit(foot(design, 0.0, rng))
        visits += (VISITS - 1 if seen is None else seen) - 1  # from the third visit on
        alarms += seen is not None
    return 100 * alarms / visits, 100 * max(alarms, 1) ** 0.5 / visits


def found(design: Design, count: int) -> tuple[float, float, float]:
    """The shares of moving feet found within 4 and 6 visits, those aside that alarmed before, and
    the standard error of the second."""
    delays = []
    for index in range(count):
        rng = np.random.default_rng([SEED, 2, index])
        rate = design.rate * float(rng.choice([-1.0, 1.0]))
        seen = alarm_visit(foot(design, rate, rng))
        if seen is None or seen > ONSET:
            delays.append(np.inf if seen is None else seen - ONSET)
    within = [float(np.mean(np.array(delays) <= visits)) for visits in (4, 6)]
    return within[0], within[1], (within[1] * (1 - within[1]) / len(delays)) ** 0.5


def main() -> None:
    """Prints a row a design."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--quick", action="store_true")
    asked.add_argument("--only", default="")
    options = asked.parse_args()
    stable, moving = (150, 100) if options.quick else (1_200, 1_000)
    print(f"{'design':50s} false/100 (at most {FALSE_ALARMS_AT_MOST})   P4    P6    goal P6")
    for design in DESIGNS:
        if options.only not in design.name:
            continue
        rate, rate_error = false_alarms(design, stable)
        four, six, error = found(design, moving)
        goal = "" if design.goal is None else f"{design.goal:.2f}"
        print(
            f"{design.name:50s} {rate:5.2f} ±{rate_error:.2f}        {four:.2f}  {six:.3f} "
            f"±{error:.3f}  {goal}",
            flush=True,
        )


if __name__ == "__main__":
    main()
