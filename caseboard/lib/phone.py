"""Phone numbers as people write them: checked just enough that the phone can dial them."""

import re

from django.core.exceptions import ValidationError

from caseboard.lib.text_safe import SafeCharField

_SHAPE = re.compile(r"\+?[0-9 ()./-]+(?:(?:ext\.?|x) ?[0-9]{1,6})?", re.IGNORECASE)
FEWEST_DIGITS = 3  # emergency numbers have three
# "+44 (0)1632 ...": who rings from abroad leaves the nought out, and a phone does not know it.
_ABROAD_OR_HOME = re.compile(r"((?:\+|00)[0-9 ./-]*)\(0\)")
_EXTENSION = re.compile(r"(?:ext|x).*", re.IGNORECASE)


def dialled(phone: str) -> str:
    """What a phone is given to ring. It would take an extension for more of the number, letters
    for digits: who rings types it, as it stands beside the link."""
    number = _EXTENSION.sub("", _ABROAD_OR_HOME.sub(r"\1", phone))
    return re.sub(r"[^+0-9]", "", number)


class PhoneField(SafeCharField):
    """A number to ring: digits, spaces, brackets, dashes, a plus in front, an extension."""

    def clean(self, value: str) -> str:
        text = str(super().clean(value)).strip()
        if text and not self._can_be_dialled(text):
            raise ValidationError(
                "This cannot be dialled. Write digits, such as 01632 960299 or +44 1632 960299.",
                code="phone",
            )
        return text

    def _can_be_dialled(self, text: str) -> bool:
        return (
            bool(_SHAPE.fullmatch(text)) and sum(sign.isdigit() for sign in text) >= FEWEST_DIGITS
        )
