"""Reads a table of old measurements row by row and says what is wrong with each. Pure.

The table is CSV as spreadsheets save it: commas or semicolons, a point or a decimal comma. Columns:
date, foot, quantity, value, unit, method, trim; others are left alone.
"""

import csv
import io
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeVar

from measurements.hoof.errors import HoofError
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Method, Quantity, RangeCheck, range_check
from measurements.hoof.units import Entered, Unit, parse_value, units_like
from measurements.importing.words import FEET, METHODS, NAMES, TRIMS, plain

T = TypeVar("T")

COLUMNS = ("date", "foot", "quantity", "value", "unit", "method", "trim")
MOST_ROWS = 20_000  # house default: more than a lifetime of one horse
EARLIEST = date(1990, 1, 1)  # house default: before it, a slip in the year
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_SLASHED = re.compile(r"(\d{1,4})[./-](\d{1,2})[./-](\d{1,4})")
_QUOTED = 30  # characters of a wrong text that are quoted back


class TableUnreadable(ValueError):
    """The file is no table with these columns; the message says what is missing."""


@dataclass(frozen=True)
class ImportRow:
    """One good row. `line` is where it stands in the file, the heading being line 1."""

    line: int
    on: date
    foot: str
    quantity: str
    entered: Entered
    method: str
    trim_state: str
    unusual: bool

    @property
    def identity(self) -> tuple[str, str, date, Decimal, str, str, str]:
        """What makes two rows the same reading."""
        return (
            self.foot,
            self.quantity,
            self.on,
            self.entered.value,
            self.entered.unit,
            self.method,
            self.trim_state,
        )


@dataclass(frozen=True)
class Problem:
    """What is wrong with one cell, in plain words."""

    line: int
    column: str
    reason: str

    def __str__(self) -> str:
        return f"line {self.line}, {self.column}: {self.reason}"


@dataclass(frozen=True)
class Table:
    rows: tuple[ImportRow, ...]
    problems: tuple[Problem, ...]
    bad_rows: int


class _Wrong(ValueError):
    """One cell that cannot be read."""


def table_text(content: bytes) -> str:
    """The text of the file: UTF-8 with or without a mark, UTF-16 with one, else Windows-1252."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def table_read(text: str, *, today: date, take_unusual: bool = False) -> Table:
    """All rows of a table. Raises TableUnreadable when the columns are not there.

    `take_unusual`: values outside the usual range are taken; those that cannot be never are.
    """
    rows, problems, bad = [], [], set()
    for line, cells in _lines(text):
        found = _row(line, cells, today, take_unusual)
        if isinstance(found, ImportRow):
            rows.append(found)
        else:
            problems += found
            bad.add(line)
    return Table(tuple(rows), tuple(problems), len(bad))


def _lines(text: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Each row that is not empty, by the names of its columns."""
    heading, _, _ = text.lstrip("\ufeff").partition("\n")
    delimiter = max(";\t,", key=heading.count)
    reader = csv.reader(io.StringIO(text.lstrip("\ufeff"), newline=""), delimiter=delimiter)
    names: list[str] = []
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if not names:
                names = _column_names(cells)
                continue
            if reader.line_num > MOST_ROWS:
                raise TableUnreadable(f"The table has more than {MOST_ROWS:,} lines.")
            yield reader.line_num, dict(zip(names, cells, strict=False))
    except csv.Error as error:
        raise TableUnreadable(f"Line {reader.line_num} is no row of a table: {error}.") from None
    if not names:
        raise TableUnreadable("The file is empty.")


def _column_names(cells: Sequence[str]) -> list[str]:
    names = [plain(cell) for cell in cells]
    missing = [name for name in COLUMNS if name not in names]
    if missing:
        raise TableUnreadable(
            f"Columns missing in the first line: {', '.join(missing)}. "
            f"It must name {', '.join(COLUMNS)}."
        )
    twice = sorted({name for name in names if name in COLUMNS and names.count(name) > 1})
    if twice:
        raise TableUnreadable(f"Columns named twice in the first line: {', '.join(twice)}.")
    return names


class _Cells:
    """The cells of one row, read one by one; what is wrong with them is gathered."""

    def __init__(self, line: int, cells: dict[str, str]) -> None:
        self.line, self.cells = line, cells
        self.problems: list[Problem] = []

    def read(self, column: str, how: Callable[[str], T]) -> T | None:
        try:
            return how(self.cells.get(column, "").strip())
        except _Wrong as wrong:
            self.problems.append(Problem(self.line, column, str(wrong)))
            return None


def _row(
    line: int, cells: dict[str, str], today: date, take_unusual: bool
) -> ImportRow | list[Problem]:
    row = _Cells(line, cells)
    on = row.read("date", lambda text: _date(text, today))
    foot = row.read("foot", _foot)
    quantity = row.read("quantity", _quantity)
    trim = row.read("trim", lambda text: _named(text, TRIMS, "before, after or between"))
    if quantity is None:
        return row.problems
    method = row.read("method", lambda text: _method(text, quantity))
    unit = row.read("unit", lambda text: _unit(text, quantity))
    # Without a readable unit the number means nothing: one complaint is enough.
    entered = None
    if not any(problem.column == "unit" for problem in row.problems):
        entered = row.read("value", lambda text: _value(text, unit, quantity, take_unusual))
    if on is None or foot is None or trim is None or method is None or entered is None:
        return row.problems
    unusual = range_check(quantity, float(entered.base)) is RangeCheck.CONFIRM
    return ImportRow(line, on, foot.value, quantity.key, entered, method, trim, unusual)


def _quoted(text: str) -> str:
    shown = "".join(character if character.isprintable() else "?" for character in text)
    return f"“{shown}”" if len(shown) <= _QUOTED else f"“{shown[:_QUOTED]}…”"


def _date(text: str, today: date) -> date:
    iso = _ISO.fullmatch(text)
    if iso is None:
        raise _Wrong(_not_iso(text))
    try:
        day = date(*(int(part) for part in iso.groups()))
    except ValueError:
        raise _Wrong(f"There is no such day: {_quoted(text)}.") from None
    if day > today:
        raise _Wrong("This day is still to come.")
    if day < EARLIEST:
        raise _Wrong("That is long ago. Look at the year.")
    return day


def _not_iso(text: str) -> str:
    if not text:
        return "The day is missing."
    if _SLASHED.fullmatch(text):
        return (
            f"{_quoted(text)} can be read in two ways (which is the day, which the month?). "
            "Write year-month-day, like 2026-05-12."
        )
    return f"{_quoted(text)} is no day. Write year-month-day, like 2026-05-12."


def _foot(text: str) -> Foot:
    found = FEET.get(plain(text))
    if found is None:
        raise _Wrong(f"{_quoted(text)} is no foot. Write LF, RF, LH or RH, or left fore.")
    return found


def _quantity(text: str) -> Quantity:
    found = NAMES.get(plain(text))
    if found is None:
        raise _Wrong(f"{_quoted(text)} is not measured here. Known are: {', '.join(QUANTITIES)}.")
    return found


def _named(text: str, names: dict[str, str], offered: str) -> str:
    found = names.get(plain(text))
    if found is None:
        raise _Wrong(f"{_quoted(text)} is none of {offered}." if text else f"Missing: {offered}.")
    return found


def _method(text: str, quantity: Quantity) -> str:
    offered = ", ".join(method.value for method in quantity.typed_methods)
    method = Method(_named(text, METHODS, offered))
    if method not in quantity.methods:
        raise _Wrong(f"The {quantity.label} is not measured by {method.label}. Fitting: {offered}.")
    if method not in quantity.typed_methods:
        raise _Wrong(
            f"By {method.label}: such values come from points placed on a picture here, not from a "
            f"list. Read off a picture in another way, it is one of: {offered}."
        )
    return method.value


def _unit(text: str, quantity: Quantity) -> Unit | None:
    """The unit of the column; None when it is left to the value itself."""
    if not text:
        return "deg" if quantity.is_angle else None
    try:
        return parse_value(f"1 {text}", quantity.unit).unit
    except HoofError:
        offered = ", ".join(units_like(quantity.unit))
        raise _Wrong(f"{_quoted(text)} is no unit of a {quantity.label}. Use {offered}.") from None


def _value(text: str, unit: Unit | None, quantity: Quantity, take_unusual: bool) -> Entered:
    if not text:
        raise _Wrong("The value is missing.")
    try:
        entered = parse_value(text, unit or quantity.unit)
    except HoofError as error:
        raise _Wrong(str(error)) from None
    if unit is None and _has_no_unit(text):
        raise _Wrong(f"Which unit is {_quoted(text)} in? Say {', '.join(units_like('mm'))}.")
    if unit is not None and entered.unit != unit:
        raise _Wrong(f"The value is in {entered.unit}, but the column unit says {unit}.")
    return _believable(entered, quantity, take_unusual)


def _has_no_unit(text: str) -> bool:
    return not re.search(r"[^\d\s.,/+\-−¼½¾⅛⅜⅝⅞⁄]", text)


def _believable(entered: Entered, quantity: Quantity, take_unusual: bool) -> Entered:
    looks = range_check(quantity, float(entered.base))
    written = f"{_quoted(entered.text)} {entered.unit}"
    if looks is RangeCheck.REFUSE:
        raise _Wrong(
            f"{written} cannot be the {quantity.label} of a horse. Look at the unit and the point."
        )
    if looks is RangeCheck.CONFIRM and not take_unusual:
        raise _Wrong(f"{written} is unusual for the {quantity.label}. Is it right?")
    return entered
