"""What every form that changes something carries: the version of it that the person was looking at."""

from typing import Any, cast

from django import forms
from django.http import QueryDict


class VersionField(forms.IntegerField):
    """The version a person saw. Anything unreadable counts as an old one: it leads to a page that
    shows both texts, never to a lost one."""

    widget = forms.HiddenInput

    def __init__(self) -> None:
        super().__init__(required=False)
        # Kept in the phone with the text: it belongs to what was read when the text was typed.
        self.widget.attrs["data-keep-field"] = True

    def clean(self, value: Any) -> int:
        try:
            return int(super().clean(value) or 0)
        except forms.ValidationError:
            return 0


class VersionedForm(forms.Form):
    version = VersionField()

    def see(self, version: int | None) -> None:
        """After a conflict: what was typed stays, and saving once more changes the thing as it is
        now, on purpose."""
        data = cast(QueryDict, self.data).copy()  # a request's own data cannot be changed
        data[self.add_prefix("version")] = str(version or 0)
        self.data = data
