"""Lengths in the program's own sentences, as a person reads them. Pure.

Sentences are kept in millimetres, for everybody alike; each reader gets them in their own unit.

Decided 2026-11: the program's sentences are kept with left, right and millimetres and put into the
reader's words and unit where they are shown (`own_words`); typed ones never go through it. A sole
stays in millimetres beside centimetres.
"""

import re
from decimal import ROUND_HALF_EVEN, Decimal

# What one is in millimetres, and the decimals it needs beyond those of a millimetre.
UNITS = {"cm": (Decimal(10), 1), "in": (Decimal("25.4"), 2)}
NUMBER = r"[-\N{MINUS SIGN}]?\d+(?:\.\d+)?"
LENGTH = re.compile(
    rf"(?<![\w.,-])(?P<first>{NUMBER})(?P<to> to (?P<last>{NUMBER}))?(?P<gap>[ \N{{NO-BREAK SPACE}}])mm\b"
)
# A sole is filmed and told in millimetres by those who read centimetres too (common practice, no
# source): 14.6 mm never reads as 15.
SOLE = re.compile(r"\bsoles?\b", re.IGNORECASE)


def own_lengths(text: str, unit: str) -> str:
    """ "75 to 80 mm" as "7.5 to 8.0 cm" or "2.95 to 3.15 in"; what people typed is never given to
    this."""
    if unit not in UNITS or (unit == "cm" and SOLE.search(text)):
        return text

    def length(found: re.Match[str]) -> str:
        numbers = [n for n in (found["first"], found["last"]) if n]
        return " to ".join(_in(n, unit) for n in numbers) + found["gap"] + unit

    return LENGTH.sub(length, text)


def _in(number: str, unit: str) -> str:
    """With as many digits as it had: a tenth of a millimetre stays one."""
    per, extra = UNITS[unit]
    given = Decimal(number.replace("\N{MINUS SIGN}", "-"))
    exponent = given.as_tuple().exponent
    assert isinstance(exponent, int)  # digits only
    step = Decimal(1).scaleb(exponent - extra)
    shown = f"{(given / per).quantize(step, ROUND_HALF_EVEN):f}"
    return shown.replace("-", "\N{MINUS SIGN}")
