"""Weights as people write them, read exactly: `480`, `480,5`, `1056 1/2 lb`. Pure.

Everything is Decimal, so that what was entered can be shown back untouched. A number that could be
read in two ways is asked for again rather than guessed.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

# Exact by definition: international yard and pound agreement, 1959.
KG_PER_LB = Decimal("0.45359237")
KG_PLACES = Decimal("0.0001")
MAX_LENGTH = 40  # characters; house default: no weight is written longer
QUOTED_LENGTH = 24

UNIT_WORDS = {
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "lb"),
}
_SPLIT = re.compile(r"([0-9.,/ ]*[0-9])\s*([a-z]*)\.?")
_PLAIN = re.compile(r"([0-9]{1,6})(?:[.,]([0-9]{1,6}))?")
_FRACTION = re.compile(r"([0-9]{1,6}) ([13])/([248])")
_TWO_WAYS = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
_GLYPHS = str.maketrans({"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "\u00a0": " ", "\u202f": " "})


class NumberUnreadable(ValueError):
    """This is not surely one number; the message says what to write instead."""


@dataclass(frozen=True)
class Weight:
    """`value` in `unit` as entered ("kg" or "lb"), and the same in kg to four decimals."""

    value: Decimal
    unit: str
    kg: Decimal


def weight_read(text: str, default_unit: str) -> Weight:
    """The weight in `text`; `default_unit` ("kg" or "lb") counts when the text names none.

    Raises NumberUnreadable.
    """
    cleaned = " ".join(text.translate(_GLYPHS).casefold().split())
    match = _SPLIT.fullmatch(cleaned) if len(text) <= MAX_LENGTH else None
    if match is None:
        raise _unreadable(text)
    unit = UNIT_WORDS.get(match[2], "") if match[2] else default_unit
    if not unit:
        raise NumberUnreadable(f"“{match[2]}” is no weight here. Write kg or lb, or only a number.")
    value = number_read(match[1].strip())
    kg = value * KG_PER_LB if unit == "lb" else value
    return Weight(value, unit, kg.quantize(KG_PLACES))


def number_read(text: str) -> Decimal:
    """One number of 0 or more, with a point or a comma, or with halves, quarters or eighths."""
    if fraction := _FRACTION.fullmatch(text):
        return Decimal(fraction[1]) + Decimal(fraction[2]) / Decimal(fraction[3])
    if _TWO_WAYS.fullmatch(text):
        raise NumberUnreadable(
            f"“{text}” can be read in two ways. Write it without a mark for thousands."
        )
    plain = _PLAIN.fullmatch(text)
    if plain is None:
        raise _unreadable(text)
    return Decimal(f"{plain[1]}.{plain[2]}" if plain[2] else plain[1])


def number_words(value: Decimal) -> str:
    """The number as it was entered: no exponent, no zeros at the end."""
    shown = f"{value:f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _unreadable(text: str) -> NumberUnreadable:
    shown = text if len(text) <= QUOTED_LENGTH else text[:QUOTED_LENGTH] + "…"
    return NumberUnreadable(f"Could not read “{shown}” as a weight. Write 480, 480.5 or 480,5.")
