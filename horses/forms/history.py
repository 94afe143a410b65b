"""Looking for something in the history: by person, by kind, by day."""

from collections.abc import Iterable
from typing import Any

from django import forms

from horses.forms.days import DayField
from horses.models.history import LOOKS

# What people look for, and the beginnings of the verbs that tell of it.
KINDS: dict[str, tuple[str, tuple[str, ...]]] = {
    "flags": ("Flags", ("flag.",)),
    "notes": ("Notes", ("note.",)),
    "exams": ("Examinations", ("exam.",)),
    "numbers": ("Measurements and bands", ("reading", "target.", "horse.weighed")),
    "plan": ("The plan", ("plan.",)),
    "visits": ("Visits", ("visit.",)),
    "alerts": ("Alerts", ("alert.",)),
    "looks": ("Daily looks", (LOOKS,)),
    "team": ("The team", ("team.",)),
    "horse": ("The horse and the case", ("horse.", "case.")),
}
THE_BOARD = "board"


class HistoryForm(forms.Form):
    """All of it is optional; what cannot be read is said, and left out of the search."""

    who = forms.ChoiceField(
        label="By whom",
        required=False,
        error_messages={"invalid_choice": "Nobody of this name has done anything here."},
    )
    kind = forms.ChoiceField(
        label="What",
        required=False,
        choices=[
            ("", "Everything but daily looks"),
            *((key, label) for key, (label, _) in KINDS.items()),
        ],
        error_messages={"invalid_choice": "Choose one of these kinds."},
    )
    since = DayField(label="From", required=False)
    until = DayField(label="Until", required=False)

    def __init__(self, *args: Any, people: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        who = self.fields["who"]
        assert isinstance(who, forms.ChoiceField)
        who.choices = [("", "Everybody"), *people, (THE_BOARD, "The board itself")]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        since, until = data.get("since"), data.get("until")
        if since and until and until < since:
            self.add_error("until", "This is before the first day.")
        return data

    @property
    def wanted(self) -> dict[str, Any]:
        """What to look for: only what could be read and is filled in."""
        return {name: value for name, value in self.cleaned_data.items() if value}
