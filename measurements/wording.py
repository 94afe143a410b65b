"""Numbers and days in plain words, as they stand in alerts, stories and on paper."""

from datetime import date
from decimal import Decimal
from typing import Protocol, cast

from measurements.hoof.feet import Foot, label
from measurements.hoof.quantities import QUANTITIES
from measurements.hoof.units import Unit, format_value, shown_in

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def value_words(quantity: str, value: float, unit: str = "") -> str:
    """ "50.5°", "50°" or "83 mm": a value in words, in the base unit or another of its kind."""
    of = QUANTITIES[quantity]
    words = format_value(value, of.unit, unit or of.unit, of.decimals)  # type: ignore[arg-type]
    return words.replace(".0°", "°")


def edges_words(low: str, high: str) -> str:
    """ "50 to 54°", "15 mm or more", "at most 8°": a band or a range from its edges in words.

    An edge is a value with its unit, "" for an open side; two edges say the unit once.
    """
    if not high:
        return f"{low} or more"
    if not low:
        return f"at most {high}"
    return f"{_bare(low)} to {high}"


def band_range_words(quantity: str, low: float | None, high: float | None, unit: str = "") -> str:
    """The edges of a band in words, None for an open side; base unit, or shown in another."""
    first, last = (
        "" if edge is None else value_words(quantity, edge, unit) for edge in (low, high)
    )
    return edges_words(first, last)


def _bare(value: str) -> str:
    return value.removesuffix("°").split(" ")[0]


def size_words(quantity: str, value: float) -> str:
    """The same without a sign, for "has fallen about ..."."""
    return value_words(quantity, abs(value))


def foot_quantity(foot: str, quantity: str) -> str:
    """ "left fore toe angle"."""
    return f"{label(Foot(foot))} {QUANTITIES[quantity].label_on(Foot(foot))}"


def fell_or_rose(quantity: str, rate: float) -> str:
    """The verb for a change: angles fall or rise, lengths get shorter or longer."""
    if QUANTITIES[quantity].is_angle:
        return "fallen" if rate < 0 else "risen"
    return "become shorter by" if rate < 0 else "become longer by"


def full_day_words(day: date) -> str:
    """ "2 Nov 2026", as every day on every page."""
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"


def about_when(day: date, today: date) -> str:
    """ "late February": as exact as a forecast can be, with the year unless it is plain.

    A coming month of less than eleven months ahead needs none, and a past one of this year.
    """
    part = "early" if day.day <= 10 else "mid" if day.day <= 20 else "late"
    ahead = (day.year - today.year) * 12 + day.month - today.month
    plain = 0 <= ahead < 11 or (day.year == today.year and day <= today)
    year = "" if plain else f" {day.year}"
    return f"{part} {MONTHS[day.month - 1]}{year}"


def number_words(count: int) -> str:
    names = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    return names[count] if 0 <= count <= 10 else str(count)


def shown_unit(quantity: str, length_unit: str) -> str:
    """Angles in degrees, lengths in the person's unit; a sole in millimetres beside centimetres, as
    every warning about it says it."""
    if quantity == "sole_depth" and length_unit == "cm":
        return "mm"
    return "deg" if QUANTITIES[quantity].is_angle else length_unit


class Entered(Protocol):
    """A value as it was typed: a reading, whether a row or a plain value."""

    @property
    def quantity(self) -> str: ...
    @property
    def entered_value(self) -> Decimal: ...
    @property
    def entered_unit(self) -> str: ...


def entered_words(reading: Entered, length_unit: str) -> str:
    """The value of a reading in the reader's unit; untouched when it was entered in that unit."""
    return shown_in(
        Decimal(reading.entered_value),
        cast(Unit, reading.entered_unit),
        cast(Unit, shown_unit(reading.quantity, length_unit)),
        QUANTITIES[reading.quantity].decimals,
    )
