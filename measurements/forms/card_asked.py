"""One picture, sent to ask which card stands on it."""

from typing import Any

from django import forms

from horses.forms.photos import PhotosField


class CardAskedForm(forms.Form):
    """Nothing of it is kept."""

    picture = PhotosField(most=1)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not data.get("picture") and not self.errors:
            self.add_error("picture", "Choose a picture first.")
        return data
