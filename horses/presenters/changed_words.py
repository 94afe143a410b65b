"""Readings as the history's lines hold them, and what a correction changed, in words."""

from typing import Any

from caseboard.lib.words import FEET
from horses.domain.wording import foot_words, sentence_case

ARROW = " → "
STATES = {"before": "before the trim", "after": "after the trim", "between": "between trims"}
UNITS = {"deg": "°"}


def reading_told(text: Any) -> str:
    """ "LF toe_angle 52,5 deg gauge after" in words; any other text as it is."""
    parts = str(text).split()
    if len(parts) < 4 or parts[0] not in FEET:
        return str(text)
    how = ""
    if parts[-1] in STATES:
        how = f", {parts[-2]}, {STATES[parts[-1]]}"
        parts = parts[:-2]
    value, unit = " ".join(parts[2:-1]), parts[-1]
    quantity = parts[1].replace("_", " ")
    return f"{foot_words(parts[0])} {quantity} {value}{UNITS.get(unit, f' {unit}')}{how}"


def change_lines(before: dict[str, str], after: dict[str, str]) -> list[str]:
    """Each part that differs, as "LF: before → after" for the column of the line."""
    names = dict.fromkeys([*before, *after])
    return [
        f"{name}: {before.get(name) or 'none'}{ARROW}{after.get(name) or 'none'}"
        for name in names
        if before.get(name, "") != after.get(name, "")
    ]


def changed_words(text: str) -> str:
    """One change in words for a page: a reading by its quantity, a foot by its name."""
    before, arrow, after = text.partition(ARROW)
    name, colon, rest = before.partition(": ")
    at_foot = bool(colon) and name in FEET
    before = f"{foot_words(name)}: {rest}" if at_foot else reading_told(before)
    return sentence_case(f"{before}{arrow}{reading_told(after)}")
