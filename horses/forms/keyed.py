"""What every form that makes something carries: a key, so that sending it twice makes one thing."""

import secrets
from typing import Any, cast

from django import forms
from django.http import QueryDict


def new_client_key() -> str:
    return secrets.token_urlsafe(16)


class KeyedForm(forms.Form):
    """A form with a hidden key that stays the same when the same form is sent again."""

    # Kept in the phone with the text: sent again after a lost answer, it is still the same form.
    client_key = forms.CharField(
        widget=forms.HiddenInput(attrs={"data-keep-field": True}), max_length=64, required=False
    )

    saved_before = False  # what was sent from it before stands, and this differs

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("client_key", new_client_key())

    @property
    def key(self) -> str:
        return str(self.cleaned_data.get("client_key", ""))

    def renew_key(self) -> None:
        """After KeyReused: what was typed stays, and sending it once more saves it as another."""
        data = cast(QueryDict, self.data).copy()  # a request's own data cannot be changed
        data[self.add_prefix("client_key")] = new_client_key()
        self.data = data
        self.saved_before = True
