"""Numbers as people write them, and units that never drift."""

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.hoof.errors import HoofError
from measurements.hoof.units import (
    ValueUnreadable,
    WrongUnit,
    base_unit,
    format_entered,
    format_number,
    format_value,
    from_base,
    parse_value,
    shown_in,
    to_base,
    units_like,
)

LENGTHS = ("mm", "cm", "in")
FEW_DIGITS = st.decimals(min_value=0, max_value=9999, places=3, allow_nan=False)


@pytest.mark.parametrize(
    ("text", "default", "value", "unit", "base"),
    [
        ("52", "deg", "52", "deg", "52"),
        ("52°", "deg", "52", "deg", "52"),
        ("52.5 deg", "deg", "52.5", "deg", "52.5"),
        ("52,5 degrees", "deg", "52.5", "deg", "52.5"),
        ("-2.5°", "deg", "-2.5", "deg", "-2.5"),
        ("−2", "deg", "-2", "deg", "-2"),
        ("+3", "deg", "3", "deg", "3"),
        ("8.3", "cm", "8.3", "cm", "83"),
        ("8,3", "cm", "8.3", "cm", "83"),
        ("8.3 cm", "mm", "8.3", "cm", "83"),
        ("83 mm", "cm", "83", "mm", "83"),
        ("83MM", "cm", "83", "mm", "83"),
        ("3 1/4", "in", "3.25", "in", "82.55"),
        ("3-1/4", "in", "3.25", "in", "82.55"),
        ("3 1/4 in", "cm", "3.25", "in", "82.55"),
        ("3 1/4 in.", "cm", "3.25", "in", "82.55"),
        ('3 1/4"', "cm", "3.25", "in", "82.55"),
        ("3¼", "in", "3.25", "in", "82.55"),
        ("3 ¼”", "cm", "3.25", "in", "82.55"),
        ("3 1⁄4", "in", "3.25", "in", "82.55"),
        ("3/4", "in", "0.75", "in", "19.05"),
        ("½", "in", "0.5", "in", "12.7"),
        ("1/64", "in", "0.015625", "in", "0.396875"),
        ("3.125", "in", "3.125", "in", "79.375"),
        ("0,125", "in", "0.125", "in", "3.175"),
        (".5", "cm", "0.5", "cm", "5"),
        ("8.", "cm", "8", "cm", "80"),
        ("0", "mm", "0", "mm", "0"),
        ("\u00a083\u202fmm\u00a0", "cm", "83", "mm", "83"),
        ("\t83\n", "mm", "83", "mm", "83"),
        ("1100 lb", "kg", "1100", "lb", "498.951607"),
        ("480", "kg", "480", "kg", "480"),
        ("480 kilos", "lb", "480", "kg", "480"),
    ],
)
def test_what_people_write_is_read(text, default, value, unit, base):
    entered = parse_value(text, default)
    assert (entered.value, entered.unit, entered.base, entered.text) == (
        Decimal(value),
        unit,
        Decimal(base),
        text,
    )


@pytest.mark.parametrize(
    "text",
    [
        "8,3,4",
        "8.3.4",
        "nan",
        "NaN",
        "inf",
        "-Infinity",
        "1e308",
        "1e3",
        "0x10",
        "1_000",
        "--5",
        "+-5",
        "5-6",
        "5 6",
        "3 4/3",
        "3/3",
        "0/4",
        "1/0",
        "1/3",
        "/",
        "/4",
        "3/",
        "1/2/3",
        ".",
        ",",
        "-",
        "five",
        "5²",
        "५२",
        "５２",
        "5 hands",
        "52°30'",
        "3' 2\"",
        "5 5 cm",
        "cm",
        "1234567",
        "8.1234567",
        "9999999 1/2",
        "9" * 41,
        "x" * 1_000_000,
        "$5",
        "=5+5",
        "<b>5</b>",
    ],
)
def test_what_is_not_surely_a_number_is_refused_with_an_example(text):
    with pytest.raises(ValueUnreadable, match=r"^Could not read “.*” as a number\. Write "):
        parse_value(text, "cm")


@pytest.mark.parametrize("text", ["", " ", "\n", "\u00a0"])
def test_an_empty_field_says_so(text):
    with pytest.raises(ValueUnreadable, match="Nothing was entered"):
        parse_value(text, "deg")


@pytest.mark.parametrize(
    "text", ["\x005", "5\x00", "5\x1b", "5\ud800", "\u200f52", "52\u202e", "5\u200b2", "5\ue000"]
)
def test_invisible_characters_are_refused(text):
    with pytest.raises(ValueUnreadable, match="invisible characters"):
        parse_value(text, "deg")


@pytest.mark.parametrize(
    ("text", "default"),
    [
        ("1,100", "kg"),
        ("1.100", "kg"),
        ("1,100 lb", "kg"),
        ("1,100.5", "kg"),
        ("1.100,5", "kg"),
        ("3,125", "in"),
        ("1,000,000", "kg"),
        ("1.000.000", "mm"),
    ],
)
def test_a_mark_that_may_mean_thousands_is_refused(text, default):
    with pytest.raises(ValueUnreadable, match="two ways"):
        parse_value(text, default)


@pytest.mark.parametrize(
    ("text", "default", "message"),
    [
        ("8.3 cm", "deg", "This is an angle: “8.3 cm” is not in degrees."),
        ("52°", "mm", "This is a length: “52°” is not in mm, cm or inches."),
        ("52 in", "kg", "This is a weight: “52 in” is not in kg or lb."),
    ],
)
def test_an_angle_in_cm_is_the_wrong_unit(text, default, message):
    with pytest.raises(WrongUnit) as refused:
        parse_value(text, default)
    assert str(refused.value) == message


def test_the_message_is_a_plain_sentence_with_the_text_in_it():
    with pytest.raises(ValueUnreadable) as refused:
        parse_value("8,3,4", "cm")
    assert str(refused.value) == ("Could not read “8,3,4” as a number. Write 8.3, 8,3 or 3 1/4.")


def test_a_long_or_broken_text_is_quoted_safely():
    with pytest.raises(ValueUnreadable) as refused:
        parse_value("a\ud800" * 50, "cm")
    message = str(refused.value)
    message.encode()
    assert len(message) < 90
    assert "…" in message


@pytest.mark.parametrize("unit", ["furlong", "", "\ud800"])
def test_an_unknown_unit_key_is_refused(unit):
    with pytest.raises(WrongUnit, match="not a unit used here"):
        parse_value("5", unit)


@given(st.text(max_size=60), st.sampled_from(["deg", "mm", "cm", "in", "kg", "lb"]))
@settings(max_examples=500)
def test_any_text_gives_a_finite_number_or_a_named_refusal(text, unit):
    try:
        entered = parse_value(text, unit)
    except HoofError as refusal:
        str(refusal).encode()
    else:
        assert entered.value.is_finite()
        assert entered.base.is_finite()


@given(FEW_DIGITS, st.sampled_from(["deg", "mm", "cm", "in", "kg", "lb"]))
@settings(max_examples=60)
def test_a_value_shown_and_saved_a_hundred_times_never_moves(value, unit):
    entered = parse_value(f"{value:.2f}".replace(".", ","), unit)
    now = entered
    for _ in range(100):
        now = parse_value(format_entered(now.value, now.unit), unit)
    assert (now.value, now.unit, now.base) == (entered.value, entered.unit, entered.base)


@pytest.mark.parametrize(
    ("unit", "base"), [("in", "25.4"), ("cm", "10"), ("lb", "0.453592"), ("deg", "1")]
)
def test_units_convert_by_their_definitions(unit, base):
    # International yard and pound agreement, 1959: 25.4 mm and 0.45359237 kg exactly.
    assert to_base(Decimal(1), unit) == Decimal(base)


@given(FEW_DIGITS, st.sampled_from(["mm", "cm", "in", "kg", "lb", "deg"]))
def test_there_and_back_is_exact_to_the_kept_digits(value, unit):
    assert from_base(to_base(value, unit), unit) == pytest.approx(value, abs=Decimal("0.000002"))


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "1E+308", "1000000001"])
def test_no_measurement_is_infinite_or_astronomical(value):
    with pytest.raises(ValueUnreadable):
        to_base(Decimal(value), "mm")


@pytest.mark.parametrize(
    ("base", "quantity_unit", "display_unit", "decimals", "shown"),
    [
        (52, "deg", "deg", 1, "52.0°"),
        (51.96, "deg", "deg", 1, "52.0°"),
        (-0.01, "deg", "deg", 1, "0.0°"),
        (83.0, "mm", "cm", 0, "8.3 cm"),
        (82.55, "mm", "in", 0, "3.25 in"),
        (83.4, "mm", "mm", 0, "83 mm"),
        (Decimal("498.951607"), "kg", "lb", 0, "1100 lb"),
        (1e-7, "mm", "mm", 0, "0 mm"),
    ],
)
def test_a_computed_value_is_shown_rounded_with_its_unit(
    base, quantity_unit, display_unit, decimals, shown
):
    assert format_value(base, quantity_unit, display_unit, decimals) == shown


@pytest.mark.parametrize("base", [math.nan, math.inf, -math.inf, 1e308, Decimal("NaN")])
def test_what_is_no_number_is_not_shown(base):
    with pytest.raises(ValueUnreadable, match="no number to show"):
        format_value(base, "mm", "cm", 0)


def test_an_angle_is_not_shown_in_cm():
    with pytest.raises(WrongUnit, match="This is an angle"):
        format_value(52, "deg", "cm", 0)


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("52.000000", "52"),
        ("8.30", "8.3"),
        ("1E+2", "100"),
        ("-0", "0"),
        ("0.000000", "0"),
        ("100", "100"),
        ("-2.50", "-2.5"),
    ],
)
def test_entered_digits_come_back_without_the_columns_zeros(value, shown):
    assert format_number(Decimal(value)) == shown


def test_units_of_one_kind_are_known():
    assert units_like("in") == ("mm", "cm", "in")
    assert units_like("kg") == ("kg", "lb")
    assert units_like("deg") == ("deg",)
    assert [base_unit(unit) for unit in ("cm", "lb", "deg")] == ["mm", "kg", "deg"]


def test_what_was_entered_is_shown_as_it_was_in_its_own_unit_and_rounded_in_another():
    assert shown_in(Decimal("3.125"), "in", "in", 0) == "3.125 in"
    assert shown_in(Decimal("3.125"), "in", "mm", 0) == "79 mm"
