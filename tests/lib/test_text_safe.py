import pytest
from django import forms

from caseboard.lib.text_safe import SafeCharField, SafeTextField, safe_line, safe_text


def message(field: forms.Field, text: str) -> str:
    with pytest.raises(forms.ValidationError) as caught:
        field.clean(text)
    return str(caught.value.messages[0])


@pytest.mark.parametrize("breaks", ["\r\n", "\r", "\n", "\x0b", "\u2028", "\u2029", "\x85"])
def test_every_kind_of_line_break_becomes_one(breaks: str) -> None:
    assert safe_text(f"heat{breaks}in the left fore") == "heat\nin the left fore"


@pytest.mark.parametrize("odd", ["\x00", "\x1b", "\x7f", "\ud800", "\x9b"])
def test_what_cannot_be_shown_is_removed(odd: str) -> None:
    assert safe_text(f"toe{odd}crack") == "toecrack"


@pytest.mark.parametrize(
    "code", [0x202A, 0x202B, 0x202C, 0x202D, 0x202E, 0x2066, 0x2067, 0x2068, 0x2069]
)
def test_marks_that_reorder_the_text_around_them_are_removed(code: int) -> None:
    assert safe_text(f"52{chr(code)}°") == "52°"


def test_right_to_left_writing_keeps_its_letters_and_its_direction_marks() -> None:
    text = "الحصان\u200f يعرج"
    assert safe_text(text) == text


def test_tabs_stay_in_a_text_and_become_spaces_on_a_line() -> None:
    assert safe_text("a\tb") == "a\tb"
    assert safe_line("a\t\r\nb") == "a b"


def test_a_text_of_exactly_the_limit_is_taken_however_the_browser_breaks_lines() -> None:
    assert SafeTextField(max_length=5).clean("ab\r\ncd") == "ab\ncd"


def test_a_text_over_the_limit_says_how_long_it_is_and_that_nothing_is_lost() -> None:
    said = message(SafeTextField(max_length=1000), "x" * 1234)
    assert "1,234 characters" in said
    assert "room for 1,000" in said
    assert "Nothing is lost" in said


def test_the_length_is_said_once() -> None:
    with pytest.raises(forms.ValidationError) as caught:
        SafeCharField(max_length=3).clean("four")
    assert len(caught.value.messages) == 1


def test_an_empty_field_is_answered_in_plain_words() -> None:
    assert message(SafeCharField(), "") == "Please fill this in."
    assert message(SafeTextField(), "\x00\u202e  ") == "Please fill this in."


def test_a_field_may_have_its_own_words_for_an_empty_one() -> None:
    field = SafeCharField(error_messages={"required": "Say which horse."})
    assert message(field, "") == "Say which horse."


def test_a_field_that_may_stay_empty_gives_the_empty_text() -> None:
    assert SafeTextField(required=False).clean(None) == ""


def test_a_megabyte_is_refused_with_words_and_not_with_an_error() -> None:
    assert "1,000,000 characters" in message(SafeTextField(), "x" * 1_000_000)


def test_the_browser_is_told_the_limit_of_a_line_too() -> None:
    assert SafeCharField(max_length=40).widget_attrs(forms.TextInput())["maxlength"] == "40"


def test_the_browser_cuts_no_long_paste_into_a_text() -> None:
    assert "maxlength" not in SafeTextField(max_length=40).widget.attrs
