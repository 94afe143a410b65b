"""Phone numbers are checked just enough that they can be dialled."""

import pytest
from django.core.exceptions import ValidationError

from caseboard.lib.phone import PhoneField, dialled


@pytest.mark.parametrize(
    "number", ["01632 960299", "+44 1632 960299", "(01632) 960-299", "999", "0100.200 ext 12"]
)
def test_numbers_as_people_write_them_are_taken(number: str) -> None:
    assert PhoneField(required=False).clean(number) == number


@pytest.mark.parametrize("text", ["abc", "call me \U0001f600", "12", "01632 ask for Ines", "+"])
def test_what_cannot_be_dialled_is_refused_in_words(text: str) -> None:
    with pytest.raises(ValidationError, match="cannot be dialled"):
        PhoneField(required=False).clean(text)


def test_no_number_is_fine_where_none_is_needed() -> None:
    assert PhoneField(required=False).clean("") == ""


@pytest.mark.parametrize(
    ("written", "rung"),
    [
        ("01632 960299", "01632960299"),
        ("+44 (0)1632 960-299", "+441632960299"),
        ("0044 (0) 1632.960299", "00441632960299"),
        ("(01632) 960/299", "01632960299"),
        ("0100.200 ext 12", "0100200"),
        ("0100 200 x12", "0100200"),
        ("999", "999"),
    ],
)
def test_a_phone_is_given_only_what_it_can_ring(written: str, rung: str) -> None:
    """An extension would be dialled as more of the number, and a nought in brackets reaches nobody
    from abroad."""
    assert PhoneField().clean(written) == written
    assert dialled(written) == rung
