"""Feet, roles, days and lists in the words people use. Pure: no queries, no clock."""

import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format

FEET = {
    "LF": ("left", "fore"),
    "RF": ("right", "fore"),
    "LH": ("left", "hind"),
    "RH": ("right", "hind"),
}
NUMBER_AND_UNIT = re.compile(r"(\d) (°|mm|cm|in|kg|lb)(?!\w)")
# Near is the horse's left, the side one leads and mounts from; off is its right. Trade words.
NEAR_OFF = {"left": "near", "right": "off"}
ROLES = {"owner": "owner", "vet": "vet", "farrier": "farrier", "carer": "carer"}


def foot_label(foot: str, person: Any = None) -> str:
    """ "LF" in the words this person chose: "left fore" or "near fore"."""
    side, end = FEET[str(foot)]
    if getattr(person, "side_words", "") == "near_off":
        side = NEAR_OFF[side]
    return f"{side} {end}"


def role_words(role: str, stand_in: bool = False) -> str:
    """ "farrier", or "stand-in farrier"."""
    words = ROLES.get(str(role), str(role))
    return f"stand-in {words}" if stand_in else words


def listed(words: Iterable[Any], last: str = "and") -> str:
    """ "owner, farrier and vet"."""
    texts = [str(word) for word in words]
    if len(texts) < 2:
        return "".join(texts)
    return f"{', '.join(texts[:-1])} {last} {texts[-1]}"


def unbroken(words: str) -> str:
    """Words in which no line ends between a number and its unit."""
    return NUMBER_AND_UNIT.sub("\\1\N{NO-BREAK SPACE}\\2", words)


MOST_RUNS = 20  # house default: a line and a half


def items_words(numbers: Iterable[int]) -> str:
    """ "item 3", "items 1, 2, 5 to 9": runs are told by their ends, very many by how many."""
    there = sorted(set(numbers))
    runs: list[list[int]] = []
    for number in there:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    if len(runs) > MOST_RUNS:
        return f"items between {there[0]} and {there[-1]} ({len(there)} of them)"
    parts = [f"{r[0]} to {r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs]
    return f"item{'s' * (len(there) != 1)} {', '.join(parts)}"


def get_item(mapping: Mapping[Any, Any] | None, key: Any) -> Any:
    """The value under a key that is itself a variable; None when there is none."""
    return mapping.get(key) if mapping else None


def _day(value: date | datetime) -> date:
    return timezone.localtime(value).date() if isinstance(value, datetime) else value


def date_words(value: date | datetime | None) -> str:
    """ "Mon 2 Nov 2026"."""
    return date_format(_day(value), "D j M Y") if value else ""


def days_ago(value: date | datetime | None, now: date | datetime) -> str:
    """ "today", "yesterday", "12 days ago", "in 3 weeks": how far a day is from `now`."""
    if not value:
        return ""
    days = (_day(now) - _day(value)).days
    if days in NEAR_DAYS:
        return NEAR_DAYS[days]
    span = _span(abs(days))
    return f"{span} ago" if days > 0 else f"in {span}"


NEAR_DAYS = {0: "today", 1: "yesterday", -1: "tomorrow"}


def _span(days: int) -> str:
    """Days up to three weeks, then weeks, months, years: exact enough to talk about."""
    if days < 21:
        return f"{days} days"
    if days < 84:
        return f"{round(days / 7)} weeks"
    if days < 730:
        return f"{round(days / 30.44)} months"
    return f"{round(days / 365.25)} years"
