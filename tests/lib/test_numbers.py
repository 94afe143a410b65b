"""Weights as people write them. No database."""

from decimal import Decimal

import pytest

from caseboard.lib.numbers import NumberUnreadable, number_words, weight_read


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("480", "480"),
        ("480.5", "480.5"),
        ("480,5", "480.5"),
        ("480 1/2", "480.5"),
        ("480½", "480.5"),
        ("1056 3/8", "1056.375"),
        ("  512 kg ", "512"),
        ("512Kilos", "512"),
    ],
)
def test_a_weight_is_read_exactly(text: str, value: str) -> None:
    weight = weight_read(text, "kg")
    assert (weight.value, weight.unit) == (Decimal(value), "kg")


def test_pounds_become_kilograms_by_the_yard_and_pound_agreement() -> None:
    weight = weight_read("1000", "lb")
    assert (weight.value, weight.unit, weight.kg) == (Decimal(1000), "lb", Decimal("453.5924"))


def test_a_unit_in_the_text_counts_more_than_the_one_chosen() -> None:
    assert weight_read("1000 lbs.", "kg").unit == "lb"


@pytest.mark.parametrize("text", ["1,100", "1.100", "12.500 kg"])
def test_a_mark_that_may_be_for_thousands_is_asked_about(text: str) -> None:
    with pytest.raises(NumberUnreadable, match="in two ways"):
        weight_read(text, "kg")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "heavy",
        "NaN",
        "inf",
        "1e308",
        "-480",
        "٤٨٠",
        "4/3",
        "480 kg kg",
        "5" * 41,
        "1 2",
        "480\x00",
    ],
)
def test_what_is_not_surely_one_number_is_refused(text: str) -> None:
    with pytest.raises(NumberUnreadable, match="Could not read"):
        weight_read(text, "kg")


def test_a_unit_that_is_no_weight_is_refused_by_name() -> None:
    with pytest.raises(NumberUnreadable, match="“stone” is no weight here"):
        weight_read("78 stone", "kg")


@pytest.mark.parametrize(
    ("value", "words"), [("480.000000", "480"), ("480.500000", "480.5"), ("100", "100")]
)
def test_a_number_is_shown_as_it_was_entered(value: str, words: str) -> None:
    assert number_words(Decimal(value)) == words
