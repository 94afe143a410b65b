"""Name and address of somebody who followed a link, typed once."""

from typing import Any

from django import forms

from caseboard.lib.address_key import address_spelled
from caseboard.lib.text_safe import SafeCharField
from horses.forms.email_field import SafeEmailField


class JoinForm(forms.Form):
    name = SafeCharField(
        label="Your name",
        max_length=120,
        help_text="The others on a team see this name.",
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    email = SafeEmailField(
        label="Your email address",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        error_messages={"required": "Please write your email address."},
    )

    def __init__(self, *args: Any, email: str = "", **kwargs: Any) -> None:
        """`email`: the link was mailed there, and is for that address only."""
        super().__init__(*args, **kwargs)
        self._mailed_to = email
        if email:
            del self.fields["email"]

    @property
    def address(self) -> str:
        return self._mailed_to or address_spelled(self.cleaned_data["email"])
