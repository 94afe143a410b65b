"""Feet, roles, days and lists in the words people use. Pure: no queries, no clock."""

import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from django.utils import timezone
from django.utils.formats import date_format

from caseboard.lib.own_lengths import own_lengths
from caseboard.lib.spans import one_or, roughly_words

FEET = {
    "LF": ("left", "fore"),
    "RF": ("right", "fore"),
    "LH": ("left", "hind"),
    "RH": ("right", "hind"),
}
NUMBER_AND_UNIT = re.compile(r"(\d) (°|mm|cm|in|kg|lb)(?!\w)")
# Near is the horse's left, the side one leads and mounts from; off is its right. Trade words.
NEAR_OFF = {"left": "near", "right": "off"}


def foot_label(foot: str, person: Any = None) -> str:
    """ "LF" in the words this person chose: "left fore" or "near fore"."""
    side, end = FEET[str(foot)]
    if getattr(person, "side_words", "") == "near_off":
        side = NEAR_OFF[side]
    return f"{side} {end}"


# The same as letters on paper: LF is NF to who says near fore. Trade words.
NEAR_OFF_CODES = {foot: (NEAR_OFF[side][0] + end[0]).upper() for foot, (side, end) in FEET.items()}


def feet_words(feet: Iterable[str], person: Any = None) -> str:
    """ "left fore, right hind", in the person's own words."""
    return ", ".join(foot_label(foot, person) for foot in feet)


def foot_code(foot: str, person: Any = None) -> str:
    """ "LF", or "NF" for a person who says near fore."""
    near_off = getattr(person, "side_words", "") == "near_off"
    return NEAR_OFF_CODES[str(foot)] if near_off else str(foot)


# A side in a sentence of the program's own: of a foot or a pair, in brackets with its number, or
# both sides in a row. "What was left" and "the right tool" are none.
SIDE = re.compile(
    r"\b(left|right)\b(?= (?:fore|hind|front|foot|feet)\b| [-\u2212]?[\d.,]+ ?(?:°|mm\b|cm\b|in\b)| and right\b)"
    r"|(?<=\bleft and )right\b",
    re.IGNORECASE,
)

LEFT_RIGHT = {near: left for left, near in NEAR_OFF.items()}
# The same turned round, of feet and of the two numbers in brackets; "take off 5 mm" is no side.
NEAR_SIDE = re.compile(
    r"\b(?:near|off)\b(?= (?:fore|hind|front|foot|feet)\b)|\bnear\b(?= and off\b)"
    r"|(?:(?<=\()|(?<=[°mn], ))(?:near|off)\b(?= [-\u2212]?\d)",
    re.IGNORECASE,
)


def own_sides(text: str, person: Any = None) -> str:
    """The program's own sentence, which says left and right, as this person says it. What people
    typed stays as they typed it: never give it to this."""
    if getattr(person, "side_words", "") != "near_off":
        return text

    def side(found: re.Match[str]) -> str:
        word = NEAR_OFF[found[0].lower()]
        return word.capitalize() if found[0][0].isupper() else word

    return SIDE.sub(side, text)


def plain_sides(text: str) -> str:
    """The program's own sentence that was written for who says near and off, with left and right."""

    def side(found: re.Match[str]) -> str:
        word = LEFT_RIGHT[found[0].lower()]
        return word.capitalize() if found[0][0].isupper() else word

    return NEAR_SIDE.sub(side, text)


# Sentences kept from before had a hyphen for it.
BELOW_NOUGHT = re.compile(r"(?<![\w.,-])-(?=\d[\d.,]* ?(?:°|mm\b|cm\b|in\b))")


def own_words(text: str, person: Any = None) -> str:
    """The program's own sentence with sides and lengths as this person says them."""
    told = BELOW_NOUGHT.sub("\N{MINUS SIGN}", own_sides(text, person))
    return own_lengths(told, getattr(person, "length_unit", ""))


# A band, steps or a reading, in the words that the program makes of their numbers.
NUMBERED = re.compile(
    r"(?:left|right) (?:fore|hind) [a-z/ ]+ (?:from about )?[-\u2212]?\d", re.IGNORECASE
)
FEET_FIRST = re.compile(r"(?:(?:,| and)? ?(?:left|right) (?:fore|hind))+:", re.IGNORECASE)


def own_start(text: str, person: Any = None) -> str:
    """A text that begins with the program's own words and may go on with typed ones: the feet
    before a colon, or the whole where it is a foot's number; any other text as it is."""
    if NUMBERED.match(text):
        return own_words(text, person)
    feet = FEET_FIRST.match(text)
    return own_sides(feet[0], person) + text[feet.end() :] if feet else text


def plan_text(version: Any, person: Any = None) -> str:
    """What a plan item says. A band's and a step's words are the program's own, made of their
    numbers; all others are shown as they were typed and agreed to."""
    return own_words(version.text, person) if version.target else str(version.text)


def role_words(role: str, stand_in: bool = False) -> str:
    """ "farrier", or "stand-in farrier"."""
    return f"stand-in {role}" if stand_in else str(role)


def listed(words: Iterable[Any], last: str = "and") -> str:
    """ "owner, farrier and vet"."""
    texts = [str(word) for word in words]
    if len(texts) < 2:
        return "".join(texts)
    return f"{', '.join(texts[:-1])} {last} {texts[-1]}"


def unbroken(words: str) -> str:
    """Words in which no line ends between a number and its unit."""
    return NUMBER_AND_UNIT.sub("\\1\N{NO-BREAK SPACE}\\2", words)


GUIDED = ("side", "front", "sole", "whole")  # the views of which a drawing says how to stand


def picture_guide(view: str) -> str:
    """The template that draws how to stand and aim for this view; empty where none does."""
    return f"parts/picture_guides/{view}.html" if view in GUIDED else ""


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
    return f"{one_or(len(there), 'item', 'items')} {', '.join(parts)}"


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
    span = roughly_words(abs(days))
    return f"{span} ago" if days > 0 else f"in {span}"


NEAR_DAYS = {0: "today", 1: "yesterday", -1: "tomorrow"}
