"""What the drift method said of a foot, as the page of one of its angles shows it."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.models import FootVerdict
from measurements.queries.jumps import jumps_standing
from measurements.queries.numbers import Numbers
from measurements.verdicts.judge import verdict_now
from measurements.verdicts.jump_words import jump_words
from measurements.verdicts.words import doubtful_words, finding_of, verdict_words

LOOKED_AT = "New readings are being looked at."
Point = tuple[date, float, float, float]  # day, value, low, high; base unit


@dataclass(frozen=True)
class SeriesVerdict:
    """The sentences, the readings to measure again, and how much each reading counts (0 to 1)."""

    words: tuple[str, ...] = ()
    doubtful: frozenset[str] = frozenset()
    weights: dict[str, float] = field(default_factory=dict)
    path: tuple[Point, ...] = ()  # the level at each trim, and where it goes
    ahead: tuple[Point, ...] = ()
    pending: str = ""  # said while the numbers as they stand are still being judged
    verdict: FootVerdict | None = None


def series_verdict(numbers: Numbers, foot: str, quantity: str, today: date) -> SeriesVerdict:
    """The verdict on the foot; an empty one for a quantity that is not judged so."""
    if quantity not in DRIFT_QUANTITIES:
        return SeriesVerdict()
    looked = verdict_now(numbers, foot)
    pending, known = "" if looked.is_current else LOOKED_AT, looked.verdict
    finding = finding_of(known.result, quantity) if known is not None else None
    if known is None or finding is None:
        return SeriesVerdict(pending=pending)
    result = known.result
    again = [words for words in doubtful_words(numbers, foot, result) if words]
    jumped = [
        jump_words(seen)
        for seen in jumps_standing(numbers, today)
        if (seen.start.foot, seen.start.quantity) == (foot, quantity)
    ]
    return SeriesVerdict(
        words=(*jumped, verdict_words(numbers, foot, quantity, result, today), *again),
        doubtful=frozenset(finding["doubtful"]),
        weights=dict(finding["weights"]),
        path=_points(finding.get("path", [])),  # a verdict of long ago has none
        ahead=_points(finding.get("ahead", [])),
        pending=pending,
        verdict=known,
    )


def _points(kept: list[list[Any]]) -> tuple[Point, ...]:
    return tuple((date.fromisoformat(day), *numbers) for day, *numbers in kept)
