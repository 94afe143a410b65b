"""Readings as a farrier's book would hold them: a level, growth, the gauge's noise, rounding.

Invented numbers for the demo, the same for the same seed; no Django, no clock. The stories' seeds
were chosen so that chance raises nothing in a quiet foot. Growth as the hoof mathematics reckon it
(measurements/hoof/growth.py gives the sources); trim-to-trim variation and noise: house defaults.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from random import Random

CYCLE_DAYS = 56.0
SHOD_FALL_DEG = 3.0  # toe and heel angle, per 56 days since the trim
TOE_GROWTH_MM = {True: 13.0, False: 7.0}  # shod, barefoot; per 56 days
TRIM_SD_DEG = 0.4
GAUGE_SD_DEG = 0.7
TAPE_SD_MM = 1.0
EXTRAS_EVERY = 3  # the pastern, heels, coronet and frog are measured at every third visit
HINDS_EVERY = 2  # the hind feet at every second


@dataclass(frozen=True)
class SeriesChange:
    """A slow change of the level, per trim, after one visit and up to another (counted from 0)."""

    after: int
    until: int
    toe_angle_deg: float
    heel_angle_deg: float
    toe_length_mm: float = 0.0

    def steps(self, visit: int) -> int:
        return max(0, min(visit, self.until) - self.after)


@dataclass(frozen=True)
class FootLevel:
    """How a foot stands just after the trim, before any change; deg and mm."""

    toe_angle_deg: float
    heel_angle_deg: float
    toe_length_mm: float
    pastern_angle_deg: float
    shod: bool = False
    heel_length_mm: float = 35.0
    coronet_mm: float = 350.0
    frog_mm: tuple[float, float] = (55.0, 74.0)
    changes: tuple[SeriesChange, ...] = ()


@dataclass(frozen=True)
class Value:
    """One value as read off the tool: half degrees, whole millimetres."""

    foot: str
    quantity: str
    trim_state: str
    number: float


def series(
    seed: str, feet: Mapping[str, FootLevel], days: Sequence[int]
) -> list[tuple[Value, ...]]:
    """All values of a horse, one tuple a visit. `days`: of each visit since the first, rising.

    Each foot draws from its own stream, so that measuring fewer feet changes no other value.
    """
    by_foot = [list(_foot(Random(f"{seed} {name}"), name, feet[name], days)) for name in feet]
    return [
        tuple(value for of_foot in visit for value in of_foot)
        for visit in zip(*by_foot, strict=True)
    ]


def _foot(rng: Random, name: str, foot: FootLevel, days: Sequence[int]) -> Iterator[list[Value]]:
    left = _levels(rng, foot, 0)
    for visit, day in enumerate(days):
        cycles = (day - days[visit - 1] if visit else CYCLE_DAYS) / CYCLE_DAYS
        found = _grown(left, foot.shod, cycles)
        left = _levels(rng, foot, visit)
        read = [
            *_read(rng, name, "before", found),
            *_read(rng, name, "after", left),
            *(_read(rng, name, "after", _extras(foot)) if visit % EXTRAS_EVERY == 0 else ()),
        ]
        yield read if name.endswith("F") or visit % HINDS_EVERY == 0 else []


def _levels(rng: Random, foot: FootLevel, visit: int) -> dict[str, float]:
    """Where a trim leaves the foot: near its level, the toe and the heel alike."""
    trim = rng.gauss(0, TRIM_SD_DEG)
    steps = [(change, change.steps(visit)) for change in foot.changes]
    return {
        "toe_angle": foot.toe_angle_deg + trim + sum(c.toe_angle_deg * n for c, n in steps),
        "heel_angle": foot.heel_angle_deg + trim + sum(c.heel_angle_deg * n for c, n in steps),
        "toe_length": foot.toe_length_mm + sum(c.toe_length_mm * n for c, n in steps),
    }


def _grown(left: Mapping[str, float], shod: bool, cycles: float) -> dict[str, float]:
    fall = SHOD_FALL_DEG * cycles if shod else 0.0
    return {
        "toe_angle": left["toe_angle"] - fall,
        "heel_angle": left["heel_angle"] - fall,
        "toe_length": left["toe_length"] + TOE_GROWTH_MM[shod] * cycles,
    }


def _extras(foot: FootLevel) -> dict[str, float]:
    width, length = foot.frog_mm
    return {
        "pastern_angle": foot.pastern_angle_deg,
        "heel_length_medial": foot.heel_length_mm,
        "heel_length_lateral": foot.heel_length_mm + 1,
        "coronary_circumference": foot.coronet_mm,
        "frog_width": width,
        "frog_length": length,
    }


def _read(rng: Random, name: str, state: str, true: Mapping[str, float]) -> list[Value]:
    return [Value(name, key, state, _rounded(rng, key, level)) for key, level in true.items()]


def _rounded(rng: Random, quantity: str, level: float) -> float:
    if quantity.endswith("angle"):
        return round((level + rng.gauss(0, GAUGE_SD_DEG)) * 2) / 2
    return float(round(level + rng.gauss(0, TAPE_SD_MM)))
