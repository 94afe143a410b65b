"""The address somebody signs in with."""

from django import forms

from horses.forms.email_field import SafeEmailField


class AddressForm(forms.Form):
    email = SafeEmailField(
        label="New email address",
        max_length=254,
        help_text="We send a code there, to be sure that it is yours.",
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        error_messages={"required": "Please write the new address."},
    )

    def __init__(self, *args: object, current: str, **more: object) -> None:
        super().__init__(*args, **more)  # type: ignore[arg-type]  # handed on as they came, the form's own
        self.current = current

    def clean_email(self) -> str:
        address: str = self.cleaned_data["email"].strip()
        if address.casefold() == self.current.casefold():
            raise forms.ValidationError("You sign in with this address already.")
        return address


class CodeForm(forms.Form):
    code = forms.CharField(
        label="Code",
        max_length=40,
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "characters"}
        ),
        error_messages={"required": "Please type the code from the mail."},
    )
