"""Numbers as people write them: read exactly, kept as entered, shown in the reader's units.

Everything is Decimal, so that a value shown and saved untouched never moves. Base units are deg,
mm and kg; what was entered (value and unit) is kept beside the base value and is what is shown
back in that unit.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from fractions import Fraction
from typing import Literal, cast

from measurements.hoof.errors import HoofError

Unit = Literal["deg", "mm", "cm", "in", "kg", "lb"]

# Exact by definition: international yard and pound agreement, 1959.
MM_PER_IN = Decimal("25.4")
KG_PER_LB = Decimal("0.45359237")

MAX_TEXT_LENGTH = 40  # characters; house default: no measurement is written longer
MAX_WHOLE_DIGITS = 6  # house default: far above any weight in kg or length in mm
MAX_DECIMALS = 6  # house default: 1/64 in is exact, and no tool reads more
LARGEST_BASE = Decimal(10) ** 9  # house default: keeps every stored number in its column
_BASE_QUANTUM = Decimal(1).scaleb(-MAX_DECIMALS)
_QUOTED_LENGTH = 24  # characters of a bad text that are quoted back


@dataclass(frozen=True)
class _UnitFacts:
    base: Unit
    per_unit: Decimal
    symbol: str
    extra_decimals: int  # beyond those of the base unit: 1 mm is 0.1 cm and about 0.04 in
    words: str


_UNITS: dict[Unit, _UnitFacts] = {
    "deg": _UnitFacts("deg", Decimal(1), "°", 0, "° º deg deg. degs degree degrees"),
    "mm": _UnitFacts(
        "mm", Decimal(1), " mm", 0, "mm millimetre millimetres millimeter millimeters"
    ),
    "cm": _UnitFacts(
        "mm", Decimal(10), " cm", 1, "cm centimetre centimetres centimeter centimeters"
    ),
    "in": _UnitFacts("mm", MM_PER_IN, " in", 2, "in in. inch inches \" ″ ” ''"),
    "kg": _UnitFacts("kg", Decimal(1), " kg", 0, "kg kg. kgs kilo kilos kilogram kilograms"),
    "lb": _UnitFacts("kg", KG_PER_LB, " lb", 0, "lb lb. lbs lbs. pound pounds"),
}
_UNIT_BY_WORD: dict[str, Unit] = {
    word: unit for unit, facts in _UNITS.items() for word in facts.words.split()
}
_KIND: dict[Unit, str] = {"deg": "an angle", "mm": "a length", "kg": "a weight"}
_KIND_UNITS: dict[Unit, str] = {"deg": "degrees", "mm": "mm, cm or inches", "kg": "kg or lb"}
_EXAMPLES: dict[Unit, str] = {
    "deg": "Write 52, 52.5 or 52,5.",
    "mm": "Write 8.3, 8,3 or 3 1/4.",
    "kg": "Write 480, 480.5 or 480,5.",
}

# Signs that stand for plain ones. No general Unicode folding: it would read 5² as 52.
_PLAIN = str.maketrans(
    {
        "¼": " 1/4",
        "½": " 1/2",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
        "⁄": "/",
        "−": "-",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
    }
)
_SPLIT = re.compile(r"([+-]?)\s*([0-9.,/\s-]*[0-9.,/])\s*([^0-9]*)")
_DECIMAL = re.compile(r"([0-9]*)(?:[.,]([0-9]*))?")
_FRACTION = re.compile(r"(?:([0-9]+)(?:\s+|-))?([0-9]+)/([0-9]+)")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?")
_GROUPED_BY_POINT = re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+(?:,[0-9]*)?")
_ONE_POINT_GROUP = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")


class ValueUnreadable(HoofError):
    """The text is no number we can be sure of; the message says what to write instead."""


class WrongUnit(HoofError):
    """The number is clear but its unit cannot belong to this quantity (an angle in cm)."""


@dataclass(frozen=True)
class Entered:
    """One value as a person entered it.

    `value` in `unit` is what they wrote (a fraction as its exact decimal), `base` the same in the
    base unit to six decimals, `text` their own characters.
    """

    value: Decimal
    unit: Unit
    base: Decimal
    text: str


def parse_value(text: str, default_unit: Unit) -> Entered:
    """Read one measurement as a person typed it.

    `default_unit` is used when the text names none, and says which kind is wanted: with cm as the
    default, `3 in` is a length and fine; with deg, `3 cm` is not. Accepts a point or a comma,
    `3 1/4`, `3/4`, `3¼`, a minus and a trailing unit. Raises `ValueUnreadable` for anything that
    is not surely one finite number (`1,100` could be 1.1 or 1100), and `WrongUnit`.
    """
    wanted = base_unit(default_unit)
    match = _SPLIT.fullmatch(_plain_text(text, wanted))
    if match is None:
        raise _unreadable(text, wanted)
    sign, number, unit_word = match.groups()
    unit = _named_unit(unit_word, default_unit, text)
    value = _read_number(number, text, base_unit(unit))
    signed = -value if sign == "-" else value
    return Entered(value=signed, unit=unit, base=to_base(signed, unit), text=text)


def base_unit(unit: str) -> Unit:
    """The base unit (deg, mm or kg) of a unit key. Raises `WrongUnit` for an unknown one."""
    return _facts(unit).base


def units_like(unit: Unit) -> tuple[Unit, ...]:
    """All units of the same kind: (mm, cm, in) for any length."""
    wanted = base_unit(unit)
    return tuple(other for other, facts in _UNITS.items() if facts.base == wanted)


def to_base(value: Decimal, unit: Unit) -> Decimal:
    """A value in `unit` as deg, mm or kg, to six decimals.

    Raises `ValueUnreadable` for NaN, an infinity or a number past any measurement.
    """
    per_unit = _facts(unit).per_unit
    if not value.is_finite() or abs(value) > LARGEST_BASE:
        raise ValueUnreadable("That number is not a measurement.")
    with localcontext() as context:
        context.prec = 50
        return (value * per_unit).quantize(_BASE_QUANTUM, ROUND_HALF_EVEN)


def from_base(base: Decimal, unit: Unit) -> Decimal:
    """A base value (deg, mm or kg) in `unit`, unrounded to 28 digits."""
    return base / _facts(unit).per_unit


def format_number(value: Decimal, decimals: int | None = None) -> str:
    """A number in plain digits: no exponent, no "-0".

    Rounded half-even to `decimals`; without it all digits are kept but no trailing zeros.
    """
    if decimals is None:
        shown = f"{value:f}"
        shown = shown.rstrip("0").rstrip(".") if "." in shown else shown
    else:
        shown = f"{value.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN):f}"
    return shown.removeprefix("-") if not Decimal(shown) else shown


def format_value(
    base: Decimal | float, quantity_unit: Unit, display_unit: Unit, decimals: int
) -> str:
    """A computed value in the reader's unit with its sign: `52.0°`, `8.3 cm`, `3.27 in`.

    `base` is in the base unit of `quantity_unit`; `decimals` are those worth showing there, to
    which cm adds one and inches two. A value that someone entered goes through `shown_in`.
    Raises `WrongUnit` when the units are of different kinds and `ValueUnreadable` for NaN or
    an infinity.
    """
    if base_unit(display_unit) != base_unit(quantity_unit):
        raise _wrong_unit(_facts(display_unit).symbol.strip(), base_unit(quantity_unit))
    exact = Decimal(repr(float(base))) if isinstance(base, float) else Decimal(base)
    if not exact.is_finite() or abs(exact) > LARGEST_BASE:
        raise ValueUnreadable("There is no number to show.")
    facts = _facts(display_unit)
    shown = format_number(exact / facts.per_unit, decimals + facts.extra_decimals)
    return with_minus(shown) + facts.symbol


def format_entered(value: Decimal, unit: Unit) -> str:
    """What a person entered, shown back in the unit and with the digits they used."""
    return with_minus(format_number(value)) + _facts(unit).symbol


def with_minus(number: str) -> str:
    """A number to be read: with the minus sign that is as wide as a digit, not the hyphen."""
    return number.replace("-", "\N{MINUS SIGN}")


def shown_in(value: Decimal, unit: Unit, display_unit: Unit, decimals: int) -> str:
    """An entered value for a reader: untouched in the unit it was entered in, else converted.

    `decimals` as in `format_value`. Raises `WrongUnit`.
    """
    if unit == display_unit:
        return format_entered(value, unit)
    return format_value(to_base(value, unit), base_unit(unit), display_unit, decimals)


def _facts(unit: str) -> _UnitFacts:
    facts = _UNITS.get(cast(Unit, unit))
    if facts is None:
        raise WrongUnit(f"“{_quoted(unit)}” is not a unit used here.")
    return facts


def _plain_text(text: str, wanted: Unit) -> str:
    if len(text) > MAX_TEXT_LENGTH:
        raise _unreadable(text, wanted)
    stripped = text.strip()
    if not stripped:
        raise ValueUnreadable(f"Nothing was entered. {_EXAMPLES[wanted]}")
    if any(unicodedata.category(character).startswith("C") for character in stripped):
        raise ValueUnreadable("There are invisible characters in this number. Type it again.")
    return stripped.translate(_PLAIN).strip()


def _named_unit(word: str, default_unit: Unit, text: str) -> Unit:
    cleaned = word.strip().casefold()
    if not cleaned:
        return default_unit
    wanted = base_unit(default_unit)
    unit = _UNIT_BY_WORD.get(cleaned)
    if unit is None:
        raise _unreadable(text, wanted)
    if base_unit(unit) != wanted:
        raise _wrong_unit(text, wanted)
    return unit


def _read_number(number: str, text: str, kind: Unit) -> Decimal:
    fraction = _FRACTION.fullmatch(number)
    if fraction is not None:
        return _read_fraction(fraction, text, kind)
    _refuse_thousands(number, text, kind)
    decimal = _DECIMAL.fullmatch(number)
    if decimal is None:
        raise _unreadable(text, kind)
    whole, decimals = decimal[1], decimal[2] or ""
    if not whole + decimals:
        raise _unreadable(text, kind)
    _refuse_too_long(whole, decimals, text, kind)
    return Decimal(f"{whole or '0'}.{decimals}" if decimals else whole)


def _read_fraction(match: re.Match[str], text: str, kind: Unit) -> Decimal:
    whole, top, bottom = match[1] or "0", int(match[2]), int(match[3])
    if not 0 < top < bottom:
        raise _unreadable(text, kind)
    scaled = Fraction(top, bottom) * 10**MAX_DECIMALS
    if scaled.denominator != 1:  # 1/3 has no exact decimal, so it could not be shown back
        raise _unreadable(text, kind)
    _refuse_too_long(whole, "", text, kind)
    part = Decimal(scaled.numerator).scaleb(-MAX_DECIMALS)
    return (Decimal(whole) + part).normalize()


def _refuse_thousands(number: str, text: str, kind: Unit) -> None:
    # 3.125 in is three and an eighth, so a lone point counts as decimal except in a weight.
    point_is_decimal = kind != "kg" and _ONE_POINT_GROUP.fullmatch(number)
    if _GROUPED.fullmatch(number) or (_GROUPED_BY_POINT.fullmatch(number) and not point_is_decimal):
        raise ValueUnreadable(
            f"“{_quoted(text)}” can be read in two ways. "
            "Write it without a mark for thousands, and with a point for decimals."
        )


def _refuse_too_long(whole: str, decimals: str, text: str, kind: Unit) -> None:
    if len(whole.lstrip("0")) > MAX_WHOLE_DIGITS or len(decimals) > MAX_DECIMALS:
        raise _unreadable(text, kind)


def _unreadable(text: str, kind: Unit) -> ValueUnreadable:
    return ValueUnreadable(f"Could not read “{_quoted(text)}” as a number. {_EXAMPLES[kind]}")


def _wrong_unit(text: str, wanted: Unit) -> WrongUnit:
    return WrongUnit(f"This is {_KIND[wanted]}: “{_quoted(text)}” is not in {_KIND_UNITS[wanted]}.")


def _quoted(text: str) -> str:
    shown = "".join(character if character.isprintable() else "�" for character in text.strip())
    return shown if len(shown) <= _QUOTED_LENGTH else shown[:_QUOTED_LENGTH] + "…"
