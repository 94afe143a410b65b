"""One value of an alert's evidence in words: with its unit, no more exact than it was measured."""

import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from caseboard.lib.own_lengths import own_lengths
from caseboard.lib.words import FEET
from horses.domain.wording import day_words, foot_words

WORDS = {
    "after": "after the trim",
    "before": "before the trim",
    "between": "between trims",
    "end": "at the end of the cycle",
    "high": "at the upper end",
    "low": "at the lower end",
    "now": "phone the vet now",
}
# Values in the unit of the quantity that they belong to.
IN_UNIT = frozenset(
    [
        "value",
        "band_low",
        "band_high",
        "past_edge",
        "rate_per_visit",
        "rate_low",
        "rate_high",
        "level",
        "level_low",
        "level_high",
        "change",
        "growth_per_56_days",
        "detectable_change",
        "low",
        "high",
    ]
)
UNIT_ENDINGS = {"_deg": "°", "_mm": " mm", "_kg": " kg", "_days": " days", "_ml": " ml"}
CHANCES = frozenset({"chance", "outside_chance"})
SUREST = 0.99  # a chance is a share of draws: nothing beyond this is told. House default.
# Said as more or less than before, not with a sign.
CHANGES = frozenset({"change", "rate_per_visit", "growth_per_56_days"})
# How far past the limit the evidence counts as well past: about seven to one. House default.
WELL_PAST = 2.0
A_DAY = re.compile(r"\d{4}-\d\d-\d\d")
A_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT")


def value_words(key: str, value: Any, unit: str = "", person: Any = None) -> str:
    """One value in words with its unit, lengths in the person's; nothing for none."""
    lengths = getattr(person, "length_unit", "")
    match value:
        case None | "" | []:
            return ""
        case bool():
            return "yes" if value else "no"
        case int() | float():
            return own_lengths(_number_words(key, value, unit), lengths)
        case str():
            return _text_words(value, person)
        case [int() | float() as middle, int() | float() as low, int() | float() as high] if (
            low <= middle <= high
        ):
            likely = _range_words(key, low, high, unit)
            return own_lengths(f"{_number_words(key, middle, unit)} (likely {likely})", lengths)
        case list():
            return ", ".join(filter(None, (value_words(key, v, unit, person) for v in value)))
        case _:
            return str(value)


def clear_words(evidence: Mapping[str, Any]) -> str:
    """How clear a finding is, from the strength of its evidence and the limit; "" without them."""
    strength, limit = evidence.get("statistic"), evidence.get("limit")
    if not isinstance(strength, int | float) or not isinstance(limit, int | float):
        return ""
    if strength >= limit + WELL_PAST:
        return "clear: well past the point where chance would explain it"
    if strength >= limit:
        return "fairly clear: just past the point where chance would explain it"
    return "less clear than when it was first seen: chance might explain the last readings"


def _range_words(key: str, low: float, high: float, unit: str) -> str:
    """ "2 to 4° less": the smaller amount first, and the direction once where it is one."""
    if key not in CHANGES or low < 0 < high:
        unit_once = "" if key in CHANGES else _unit_of(key, unit)
        first = _number_words(key, low, unit).removesuffix(unit_once)
        return f"{first} to {_number_words(key, high, unit)}"
    near, far = sorted((low, high), key=abs)
    return f"{_number(abs(near), 1)} to {_number_words(key, far, unit)}"


def _number_words(key: str, value: float, unit: str) -> str:
    if key in CHANCES:
        return _chance_words(value)
    own = _unit_of(key, unit)
    # A reading may have been entered with two decimals; what is reckoned is not so exact.
    size = abs(value) if key in CHANGES else value
    shown = _number(size, 1 if own and key != "value" else 2)
    if key not in CHANGES or shown == "0":
        return shown + own
    return f"{shown}{own} {'less' if value < 0 else 'more'}"


def _chance_words(share: float) -> str:
    """ "37 in 100". Some hundred draws can show neither none nor all of them to be sure."""
    if share > SUREST:
        return "over 99 in 100"
    return "under 1 in 100" if share < 1.0 - SUREST else f"{share * 100:.0f} in 100"


def _unit_of(key: str, unit: str) -> str:
    if key in IN_UNIT:
        return unit
    return next((own for ending, own in UNIT_ENDINGS.items() if key.endswith(ending)), "")


def _number(value: int | float, decimals: int) -> str:
    """At most so many decimals, without trailing noughts; a real minus."""
    if isinstance(value, int):
        return str(value).replace("-", "\u2212")
    text = f"{value:.{decimals}f}"
    shown = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if shown == "-0" else shown.replace("-", "\u2212")


def _text_words(value: str, person: Any) -> str:
    if value in FEET:
        return foot_words(value, person)
    if A_DAY.fullmatch(value) or A_MOMENT.match(value):
        return _moment_words(value)
    return WORDS.get(value, value.replace("_", " "))


def _moment_words(value: str) -> str:
    try:
        if A_DAY.fullmatch(value):
            return day_words(date.fromisoformat(value))
        moment = datetime.fromisoformat(value)
    except ValueError:
        return value
    local = timezone.localtime(moment)
    return f"{day_words(local.date())}, {local:%H:%M}"
