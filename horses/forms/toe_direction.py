"""How each foot points when the horse stands square."""

from datetime import date
from typing import Any

from django import forms
from django.forms import BoundField

from caseboard.lib.text_safe import SafeCharField
from caseboard.lib.words import foot_label
from horses.domain.wording import sentence_case
from horses.forms.day_limits import day_within
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm
from horses.models import Foot, Person, StanceNote

LONGEST_AGO_YEARS = 3  # house default: an older memory of how a foal stood helps nobody


class StanceForm(KeyedForm):
    seen_on = DayField(label="Day")
    words = SafeCharField(
        label="In a few words",
        required=False,
        max_length=300,
        help_text="From the knee or from the fetlock, the same on both sides, worse when tired.",
    )

    def __init__(
        self,
        *args: Any,
        today: date,
        born_on: date | None,
        person: Person | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.born_on = today, born_on
        self.initial.setdefault("seen_on", today)
        choices = [("", "not looked at"), *StanceNote.Stance.choices]
        for foot in Foot:
            self.fields[foot.value] = forms.TypedChoiceField(
                label=sentence_case(foot_label(foot.value, person)),
                choices=choices,
                required=False,
                coerce=int,
                empty_value=None,
                error_messages={"invalid_choice": "Choose one of the list."},
            )

    def feet(self) -> list[tuple[str, BoundField]]:
        return [(foot.value, self[foot.value]) for foot in Foot]

    def clean_seen_on(self) -> date | None:
        return day_within(
            self.cleaned_data["seen_on"],
            first=self.born_on or years_before(self.today, LONGEST_AGO_YEARS),
            last=self.today,
            early="The horse was not born yet on this day."
            if self.born_on
            else "This is very long ago. Look at the year.",
            late="This day is still to come.",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and not self.stances:
            self.add_error(None, "Say of at least one foot how it points.")
        return data

    @property
    def stances(self) -> dict[str, int]:
        found = {foot.value: self.cleaned_data.get(foot.value) for foot in Foot}
        return {foot: stance for foot, stance in found.items() if stance is not None}
