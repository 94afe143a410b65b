""" "Was here": which horses, on which day, and when next. What was done is "as before"."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.html import format_html

from caseboard.lib.spans import weeks_words
from caseboard.lib.text_safe import SafeCharField
from horses.domain.wording import day_words
from horses.forms.chosen_day import YEARS_AHEAD
from horses.forms.day_limits import day_within
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm

YEARS_BACK = 5  # house default: what is further back dates no cycle any more
NOT_SAID = ""


class WasHereForm(KeyedForm):
    """Three taps: the page, the next visit, the button. Everything else is filled in."""

    horses = forms.MultipleChoiceField(
        label="Which horses",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Tick at least one horse.",
            "invalid_choice": "Choose among the horses shown here.",
        },
    )
    day = forms.ChoiceField(
        label="When",
        widget=forms.RadioSelect,
        required=False,
        error_messages={"invalid_choice": "Choose one of the days, or give another one."},
    )
    on = DayField(label="Another day", required=False)
    next = forms.ChoiceField(
        label="Next visit, if it was named",
        widget=forms.RadioSelect,
        required=False,
        error_messages={"invalid_choice": "Choose one of the days, or give another one."},
    )
    next_on = DayField(label="Next visit, another day", required=False)
    words = SafeCharField(
        label="Something was different?",
        max_length=300,
        required=False,
        help_text="A lost shoe, a foot left out, what the farrier said. The whole team reads it.",
    )

    def __init__(
        self,
        *args: Any,
        today: date,
        horses: Sequence[tuple[str, str]],
        next_days: Sequence[date],
        planned_on: date | None = None,
        **kwargs: Any,
    ) -> None:
        """`planned_on`: the day that was planned and has come or passed."""
        super().__init__(*args, **kwargs)
        self.today = today
        self._choices("horses", horses)
        days = [today, today - timedelta(days=1)]
        if planned_on is not None and planned_on < days[-1]:
            days.append(planned_on)
        self._choices("day", [(d.isoformat(), _day(d, today)) for d in days])
        named = [(d.isoformat(), _next(d, today)) for d in next_days]
        self._choices("next", [(NOT_SAID, "not said"), *named])
        self.initial.setdefault("day", (planned_on or today).isoformat())

    def _choices(self, name: str, choices: Sequence[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = list(choices)

    def clean_on(self) -> date | None:
        return day_within(
            self.cleaned_data["on"],
            first=years_before(self.today, YEARS_BACK),
            last=self.today,
            early="This is more than five years ago. Look at the year.",
            late="This day is still to come. Plan the visit instead.",
        )

    def clean_next_on(self) -> date | None:
        return day_within(
            self.cleaned_data["next_on"],
            first=self.today + timedelta(days=1),
            last=years_before(self.today, -YEARS_AHEAD),
            early="The next visit must be a day to come.",
            late="This is more than two years ahead. Look at the year.",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and self.was_on is None:
            self.add_error("day", "Say when it was.")
        return data

    @property
    def was_on(self) -> date | None:
        return _chosen(self.cleaned_data.get("day"), self.cleaned_data.get("on"))

    @property
    def next_day(self) -> date | None:
        return _chosen(self.cleaned_data.get("next"), self.cleaned_data.get("next_on"))


def _chosen(quick: str | None, other: date | None) -> date | None:
    """A day that was typed is meant, whatever is ticked above it."""
    if other is not None:
        return other
    return date.fromisoformat(quick) if quick else None


def _day(day: date, today: date) -> str:
    name = {0: "Today", 1: "Yesterday"}.get((today - day).days, "As planned")
    return format_html("{}<small>{}</small>", name, f"{day:%a} {day_words(day)}")


def _next(day: date, today: date) -> str:
    weeks = weeks_words((day - today).days)
    return format_html("in {}<small>{}</small>", weeks, f"{day:%a} {day_words(day)}")


class TakeBackWordForm(forms.Form):
    reason = SafeCharField(
        label="Why",
        max_length=300,
        help_text="The whole team reads it.",
    )
