"""What the drift method said of a foot, as the page of one of its angles shows it."""

from dataclasses import dataclass, field
from datetime import date

from measurements.hoof.drift_priors import DRIFT_QUANTITIES
from measurements.queries import Numbers
from measurements.verdict_words import doubtful_words, finding_of, verdict_words


@dataclass(frozen=True)
class SeriesVerdict:
    """The sentences, the readings to measure again, and how much each reading counts (0 to 1)."""

    words: tuple[str, ...] = ()
    doubtful: frozenset[str] = frozenset()
    weights: dict[str, float] = field(default_factory=dict)


def series_verdict(numbers: Numbers, foot: str, quantity: str, today: date) -> SeriesVerdict:
    """The newest verdict on the foot; an empty one for a quantity that is not judged so."""
    if quantity not in DRIFT_QUANTITIES:
        return SeriesVerdict()
    known = numbers.horse.verdicts.filter(foot=foot).last()
    finding = finding_of(known.result, quantity) if known is not None else None
    if known is None or finding is None:
        return SeriesVerdict()
    result = known.result
    again = [words for words in doubtful_words(numbers, foot, result) if words]
    return SeriesVerdict(
        words=(verdict_words(numbers, foot, quantity, result, today), *again),
        doubtful=frozenset(finding["doubtful"]),
        weights=dict(finding["weights"]),
    )
