"""The sign-in library's forms, in our words."""

from typing import Any

from allauth.account import forms as account
from django import forms

from caseboard.lib.address_key import address_spelled
from horses.accounts.services.people import address_look_up
from horses.forms.email_field import NO_ADDRESS

EMAIL = {
    "required": "Please write your email address.",
    "invalid": NO_ADDRESS,
}
CODE = {"required": "Please type the code from the mail."}


def _one_spelling(data: Any) -> Any:
    """What was sent, with the address in the one form that it is written to."""
    if not data or "email" not in data:
        return data
    data = data.copy()
    data["email"] = address_spelled(data["email"])
    return data


def _in_our_words(form: forms.Form) -> None:
    if email := form.fields.get("email"):
        email.label = "Email address"
        email.error_messages.update(EMAIL)
        for validator in email.validators:
            if hasattr(validator, "message") and getattr(validator, "code", "") == "invalid":
                validator.message = EMAIL["invalid"]
        email.widget.attrs.pop("placeholder", None)
    if code := form.fields.get("code"):
        code.label = "Code"
        code.error_messages.update(CODE)
        code.widget.attrs.update({"autocapitalize": "characters", "maxlength": "40"})


class RequestCodeForm(account.RequestLoginCodeForm):
    def __init__(self, data: Any = None, *args: Any, **more: Any) -> None:
        super().__init__(_one_spelling(data), *args, **more)
        _in_our_words(self)

    def clean_email(self) -> str:
        address: str = super().clean_email()
        if self._user is not None:
            # The library asks the people's table only when the table of addresses knows nothing;
            # asked in both cases, a known address costs as much as an unknown one.
            address_look_up(address)
        return address


class ConfirmCodeForm(account.ConfirmLoginCodeForm):
    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        _in_our_words(self)


class ConfirmAddressForm(account.ConfirmEmailVerificationCodeForm):
    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        _in_our_words(self)


class MakeAccountForm(account.SignupForm):
    def __init__(self, data: Any = None, *args: Any, **more: Any) -> None:
        super().__init__(_one_spelling(data), *args, **more)
        _in_our_words(self)
