"""Reads an old record (rows of a table) into series, naming every bad row and why."""

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from measurements.hoof.errors import HoofError
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import (
    QUANTITIES,
    Method,
    Quantity,
    RangeCheck,
    Shoeing,
    TrimState,
    error_sd,
    range_check,
)
from measurements.hoof.units import parse_value

Choice = TypeVar("Choice")

REQUIRED_COLUMNS = ("horse", "date", "foot", "quantity", "value", "unit", "method", "trim")
_PLAIN_DECIMAL = re.compile(r"-?[0-9]{1,6}(\.[0-9]{1,20})?")
LONGEST_CYCLE_DAYS = 1000.0  # house default: longer is a slip, or nobody trims this horse


@dataclass(frozen=True)
class BadRow:
    """One row that cannot be used: its line in the file (the header is line 1) and why."""

    line: int
    reason: str


@dataclass(frozen=True)
class ReviewRow:
    """One good row. `value` in the quantity's base unit; `days_since_trim` if the sheet says."""

    line: int
    horse: str
    on: date
    foot: Foot
    quantity: str
    value: float
    method: Method
    trim: TrimState
    days_since_trim: float | None
    shoeing: Shoeing
    by: str


def missing_columns(header: Iterable[str]) -> list[str]:
    """The required columns that a header lacks."""
    present = set(header)
    return [column for column in REQUIRED_COLUMNS if column not in present]


def read_rows(
    rows: Iterable[tuple[int, Mapping[str, str]]],
) -> tuple[list[ReviewRow], list[BadRow]]:
    """Reads (line, row) pairs; every row ends up in one of the two lists."""
    good: list[ReviewRow] = []
    bad: list[BadRow] = []
    for line, row in rows:
        try:
            good.append(_read_row(line, row))
        except HoofError as error:
            bad.append(BadRow(line, str(error)))
    return good, bad


def _read_row(line: int, row: Mapping[str, str]) -> ReviewRow:
    quantity = _quantity(row)
    method = _choice(row, "method", {each.value: each for each in Method})
    error_sd(quantity, method)  # refuses a method that does not fit
    trim = _choice(row, "trim", {each.value: each for each in TrimState})
    horse = _text(row, "horse")
    if not horse:
        raise HoofError("The horse has no name.")
    return ReviewRow(
        line=line,
        horse=horse,
        on=_date(row),
        foot=_choice(row, "foot", {each.value: each for each in Foot}, upper=True),
        quantity=quantity.key,
        value=_value(row, quantity),
        method=method,
        trim=trim,
        days_since_trim=_days_since_trim(row, trim),
        shoeing=_shoeing(row),
        by=_text(row, "by"),
    )


def _text(row: Mapping[str, str], column: str) -> str:
    return (row.get(column) or "").strip()


def _choice(
    row: Mapping[str, str], column: str, choices: Mapping[str, Choice], *, upper: bool = False
) -> Choice:
    word = _text(row, column)
    found = choices.get(word.upper() if upper else word.lower())
    if found is None:
        raise HoofError(f"{column} is {word!r}; it must be one of {', '.join(choices)}.")
    return found


def _quantity(row: Mapping[str, str]) -> Quantity:
    word = _text(row, "quantity").lower().replace(" ", "_")
    if word not in QUANTITIES:
        raise HoofError(f"quantity is {word!r}; it must be one of {', '.join(QUANTITIES)}.")
    return QUANTITIES[word]


def _date(row: Mapping[str, str]) -> date:
    word = _text(row, "date")
    try:
        return date.fromisoformat(word)
    except ValueError:
        raise HoofError(f"date is {word!r}; write it as 2025-03-31.") from None


def _value(row: Mapping[str, str], quantity: Quantity) -> float:
    value = _in_base_unit(_text(row, "value"), _text(row, "unit"), quantity)
    if range_check(quantity, value) is RangeCheck.REFUSE:
        low, high = quantity.possible_low, quantity.possible_high
        raise HoofError(
            f"a {quantity.label} of {value:g} {quantity.unit} is not possible ({low:g} to {high:g})."
        )
    return value


def _in_base_unit(text: str, unit: str, quantity: Quantity) -> float:
    """The value in base units; a file may have more decimals than a person would type."""
    if not unit:
        raise HoofError("The unit is missing.")
    if _PLAIN_DECIMAL.fullmatch(text):
        return float(text) * float(parse_value(f"1 {unit}", quantity.unit).base)
    return float(parse_value(f"{text} {unit}", quantity.unit).base)


def _days_since_trim(row: Mapping[str, str], trim: TrimState) -> float | None:
    word = _text(row, "days_since_trim")
    if not word:
        return None
    try:
        days = float(word.replace(",", "."))
    except ValueError:
        raise HoofError(f"days_since_trim is {word!r}; it must be a number of days.") from None
    if not (math.isfinite(days) and 0 <= days <= LONGEST_CYCLE_DAYS):
        raise HoofError(
            f"days_since_trim is {word!r}; it must be from 0 to {LONGEST_CYCLE_DAYS:g}."
        )
    if trim is TrimState.AFTER and days >= 1:
        raise HoofError("a reading after the trim has 0 days since the trim.")
    return days


def _shoeing(row: Mapping[str, str]) -> Shoeing:
    """Shod unless the sheet says otherwise: the growth that most sheets with angles show."""
    if not _text(row, "shoeing"):
        return Shoeing.SHOD
    return _choice(row, "shoeing", {each.value: each for each in Shoeing})
