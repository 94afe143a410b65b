"""The one field for an email address that somebody else is to get mail at."""

from typing import Any

from django import forms

from caseboard.lib.text_safe import safe_line

NO_ADDRESS = "This is not an email address we can write to. Please look at it again."


class SafeEmailField(forms.EmailField):
    """Takes no address with characters that cannot be seen: who would get the mail?"""

    default_error_messages = {
        "required": "Please write the address.",
        "invalid": NO_ADDRESS,
    }

    def to_python(self, value: Any) -> str:
        address = str(super().to_python(value))
        if safe_line(address) != address:
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        return address
