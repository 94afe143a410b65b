"""Lengths in the program's own sentences are told in the reader's unit."""

from decimal import Decimal

import pytest

from caseboard.lib.own_lengths import own_lengths
from measurements.hoof.units import format_value


@pytest.mark.parametrize(
    ("text", "cm", "inches"),
    [
        ("over the farrier's aim of 75 to 80 mm.", "7.5 to 8.0 cm", "2.95 to 3.15 in"),
        ("83 mm or more", "8.3 cm or more", "3.27 in or more"),
        (
            "about 1.5 mm a visit (0.4 to 2.6 mm)",
            "about 0.15 cm a visit (0.04 to 0.26 cm)",
            "about 0.059 in a visit (0.016 to 0.102 in)",
        ),
    ],
)
def test_a_length_is_told_in_the_readers_unit(text: str, cm: str, inches: str) -> None:
    assert cm in own_lengths(text, "cm")
    assert inches in own_lengths(text, "in")
    assert own_lengths(text, "mm") == own_lengths(text, "") == text


@pytest.mark.parametrize("text", ["50 to 54°", "480 kg", "M12 mm", "over 3 mmHg", "item 4: mm"])
def test_what_is_no_length_stays(text: str) -> None:
    assert own_lengths(text, "cm") == own_lengths(text, "in") == text


def test_a_sole_stays_in_millimetres_beside_centimetres() -> None:
    text = "The left fore sole was 14.6 mm on the film."
    assert own_lengths(text, "cm") == text
    assert "0.575 in" in own_lengths(text, "in")


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_it_says_what_a_value_of_its_own_says(unit: str) -> None:
    for tenths in range(-200, 3000, 7):
        base = Decimal(tenths) / 10
        of_its_own = format_value(base, "mm", unit, 1)  # type: ignore[arg-type]
        told = own_lengths(format_value(base, "mm", "mm", 1), unit)
        assert told.removeprefix("-").removesuffix(f" {unit}") in of_its_own
