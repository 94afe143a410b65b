"""What a horse's place has taught of the hand that measures there and of its trims, kept for a day.

Learned before a foot is judged, and written down with the verdict that was judged under it. It is no
part of the verdict's fingerprint: a verdict stands until the foot's own numbers change, and what
other horses' numbers teach in the meantime counts from the next one on.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.core.cache import cache

from measurements.hoof.drift.learning import Variation, learn_variation
from measurements.hoof.drift.priors import DRIFT_PRIORS
from measurements.queries.numbers import Numbers
from measurements.queries.yard_series import yard_hand, yard_series

# By what the toe says: it is measured most, and its trims are the heel's.
LEARNED_FROM = "toe_angle"
KEEP_S = 60 * 60 * 24  # house default: a day's visits change little of what 120 have said


def learned_at(numbers: Numbers, foot: str, *, now: datetime) -> Variation | None:
    """What the place says of the hand that measures this foot most; `None` before it says enough."""
    hand = yard_hand(numbers, foot, LEARNED_FROM)
    if hand is None:
        return None
    name = f"variation:{hashlib.sha256(repr(hand).encode()).hexdigest()}"
    kept = cache.get(name)
    if kept is None:
        found = learn_variation(yard_series(hand, today=now.date()), DRIFT_PRIORS[LEARNED_FROM])
        kept = {} if found is None else asdict(found)
        cache.set(name, kept, KEEP_S)
    return Variation(**kept) if kept else None


def learned_dict(learned: Variation | None) -> dict[str, Any] | None:
    """What is kept of it with a verdict: no word of who."""
    if learned is None:
        return None
    return {
        "visits": learned.visits,
        "feet": learned.feet,
        "trim_scale": round(learned.trim_scale, 2),
        "error_scale": round(learned.error_scale, 2),
    }


def learned_words(result: Mapping[str, Any]) -> str:
    """ "From 240 visits to 20 feet at this place: trims vary about 1.7 times as much as usual, ..."

    Empty where nothing was learned, as with every verdict of long ago. It names nobody and compares
    nobody: what is usual is the table's value.
    """
    learned = result.get("learned")
    if not learned:
        return ""
    trims, readings = (_times(learned[name]) for name in ("trim_scale", "error_scale"))
    return (
        f"From {learned['visits']} visits to {learned['feet']} feet at this place: trims vary "
        f"{trims}, readings {readings}. The verdict on this foot allows for both."
    )


# Closer to 1 than this, a multiple is not worth a figure: it is not known better. House default.
_ABOUT_THE_SAME = 0.15


def _times(scale: float) -> str:
    if abs(scale - 1.0) < _ABOUT_THE_SAME:
        return "about as much as is usual"
    return f"about {scale:.1f} times as much as is usual"
