"""Microchip and UELN numbers as typed. No database.

The accepted examples are those of ISO 11784 (a number's place: 15 digits, the last 12 in 38 bits)
and of the published UELN rules (25000100155928M; 372414 with 1234567 filled up).
"""

import pytest

from horses.domain.identity import IdentityUnreadable, microchip_read, ueln_filled_up, ueln_read


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("276000000000001", "276000000000001"),
        ("900274877906943", "900274877906943"),  # the largest number of 38 bits
        (" 276 0000-0000.0001 ", "276000000000001"),
    ],
)
def test_an_iso_chip_is_taken_without_its_gaps(typed: str, number: str) -> None:
    chip = microchip_read(typed)
    assert (chip.number, chip.doubt) == (number, "")


@pytest.mark.parametrize("typed", ["1234567890", "0a1b2c3d4e", "12345678X"])
def test_an_older_chip_is_taken_and_called_one(typed: str) -> None:
    chip = microchip_read(typed)
    assert chip.number == typed.upper()
    assert "older chip" in chip.doubt


def test_a_number_that_no_chip_can_hold_is_taken_with_a_doubt() -> None:
    chip = microchip_read("900274877906944")
    assert chip.number == "900274877906944"
    assert "never above 274877906943" in chip.doubt


def test_a_test_chips_number_is_taken_with_a_doubt() -> None:
    assert "test chips" in microchip_read("999000000000001").doubt


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("000123456789012", "000 is none"),
        ("27600000000000", "has 15 digits; this one has 14"),
        ("2760000000000012", "has 15 digits; this one has 16"),
        ("27600000000000A", "no microchip number"),
        ("ABCDEFGHIJ", "no microchip number"),
        ("٢٧٦٠٠٠٠٠٠٠٠٠٠٠١", "no microchip number"),  # Arabic digits: readers show none
        ("x" * 5000, "no microchip number"),
    ],
)
def test_anything_else_is_no_chip_and_says_why(typed: str, says: str) -> None:
    with pytest.raises(IdentityUnreadable, match=says):
        microchip_read(typed)


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("25000100155928M", "25000100155928M"),
        ("250 001 00155928m", "25000100155928M"),
        ("372414 + 1234567", "372414001234567"),
        ("372414 1234567", "372414001234567"),
        ("372 414 1234567", "372414001234567"),
        ("372IRE 12345", "372IRE000012345"),  # some registers write letters there
    ],
)
def test_a_ueln_is_taken_whole_or_filled_up(typed: str, number: str) -> None:
    assert ueln_read(typed) == number


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("3724141234567", "has 15 characters; this one has 13"),
        ("IRE414001234567", "3 digits for the country"),
        ("25000100155928M0", "this one has 16"),
        ("372414+", "this one has 6"),
        ("372414 12345678901", "this one has 17"),
        ("+", "no UELN"),
        ("78M/234", "this one has 6"),
        ("276 78M/234", "Is it 27678M000000234"),
        ("27678M/234", "Is it 27678M000000234"),
        ("372414 78M234", "Is it 37241400078M234"),
        ("25000100155928Ü", "no UELN"),
    ],
)
def test_anything_else_is_no_ueln_and_says_why(typed: str, says: str) -> None:
    with pytest.raises(IdentityUnreadable, match=says):
        ueln_read(typed)


@pytest.mark.parametrize(
    ("typed", "filled"), [("372414 + 1234567", True), ("250 001 00155928m", False)]
)
def test_zeros_that_were_filled_in_are_known(typed: str, filled: bool) -> None:
    assert ueln_filled_up(typed) is filled
