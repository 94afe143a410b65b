"""What every form that makes something carries: a key, so that sending it twice makes one thing."""

import secrets
from typing import Any

from django import forms


def new_client_key() -> str:
    return secrets.token_urlsafe(16)


class KeyedForm(forms.Form):
    """A form with a hidden key that stays the same when the same form is sent again."""

    client_key = forms.CharField(widget=forms.HiddenInput, max_length=64, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("client_key", new_client_key())

    @property
    def key(self) -> str:
        return str(self.cleaned_data.get("client_key", ""))
