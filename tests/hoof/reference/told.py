"""A judgement as plain numbers, so that code, reference and golden file can be laid side by side."""

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

Days = list[float | None]
DIGITS = 4


@dataclass
class Finding:
    """Estimates as [middle, low, high]; `weights` by place of the readings that count less."""

    rate: list[float] | None
    change: list[float] | None
    level: list[float]
    growth: list[float]
    weights: dict[str, float]
    doubtful: list[int]


@dataclass
class Leaving:
    """A forecast for one edge. `days`: earliest, likely, latest (`None`: not within two years). The
    reference gives the range that each may lie in instead, drawn as the code draws: [from, to]."""

    chance: float
    outside: float
    days: Sequence[float | None | Days]


@dataclass
class Judgement:
    """What is said of a foot. `alarm`: trim and day. `since`: trim, early, middle and late day.
    `rhythm`: last day, interval, its SD. `leaving`: by moment and edge, the likelier edge first."""

    state: str
    lead: str | None
    alarm: list[float] | None
    since: list[float] | None
    rhythm: list[float]
    statistics: list[float | None]
    findings: dict[str, Finding] = field(default_factory=dict)
    leaving: dict[str, dict[str, Leaving]] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """As it stands in the file."""
        return plain(asdict(self))


def plain(value: Any) -> Any:
    """Rounded for the file; what is infinite becomes nothing."""
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    if isinstance(value, float):
        return round(value, DIGITS) if math.isfinite(value) else None
    return value


def finite(values: Sequence[float]) -> list[float | None]:
    """Numbers, `None` for what is infinite."""
    return [float(value) if math.isfinite(value) else None for value in values]
