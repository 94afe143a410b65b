"""An answer to an alert; the whole team reads it."""

from datetime import date
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeTextField
from horses.forms.day_limits import day_within
from horses.forms.days import DayField
from horses.forms.keyed import KeyedForm
from horses.queries.alert_quiet import QUIET_AT_MOST


class AlertAnswerForm(KeyedForm):
    words = SafeTextField(
        label="Your answer",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="What you make of it, or what you will do. The alert itself goes when the numbers do.",
    )
    until_on = DayField(label="Quiet until", required=False)

    def __init__(
        self, *args: Any, today: date, default: date, quiet_words: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.initial.setdefault("until_on", default)
        self.fields["until_on"].help_text = quiet_words

    def clean_until_on(self) -> date | None:
        return day_within(
            self.cleaned_data["until_on"],
            first=self.today,
            last=self.today + QUIET_AT_MOST,
            early="This day has passed. Choose today or a later day.",
            late="This is more than half a year ahead. Choose an earlier day.",
        )
