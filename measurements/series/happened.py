"""What happened to one foot beside its numbers: trims, shoes, bands."""

from itertools import pairwise

from measurements.charts.strip import Happened
from measurements.hoof.quantities import QUANTITIES, Shoeing
from measurements.queries.numbers import Numbers
from measurements.verdicts.bands import band_words


def happened_to(numbers: Numbers, foot: str) -> list[Happened]:
    """In no order."""
    trims = [Happened(day, "trim", f"{day:%-d %b %Y}: trimmed") for day in numbers.trim_days(foot)]
    return [*trims, *_shoes(numbers, foot), *_bands(numbers, foot)]


def _shoes(numbers: Numbers, foot: str) -> list[Happened]:
    """Only what changed: a shoe set again is no news here."""
    states = numbers.shoeing.get(foot, [])
    changes = [now for before, now in pairwise(states) if before[1] != now[1]]
    return [
        Happened(
            day,
            "bare" if worn == Shoeing.BAREFOOT else "shod",
            f"{day:%-d %b %Y}: {Shoeing(worn).label}",
        )
        for day, worn in [*states[:1], *changes]
    ]


def _bands(numbers: Numbers, foot: str) -> list[Happened]:
    return [
        Happened(
            target.from_on,
            "band",
            f"{target.from_on:%-d %b %Y}: {QUANTITIES[target.quantity].label}, {band_words(target)}",
        )
        for (of, _), targets in numbers.targets.items()
        if of == foot
        for target in targets
    ]
