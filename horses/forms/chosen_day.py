"""A day to come, by one tap on an offered one or typed."""

from datetime import date
from typing import Any

from django import forms

from horses.forms.day_limits import day_within
from horses.forms.days import years_before

OTHER_DAY = "day"
YEARS_AHEAD = 2  # house default: nobody books a visit further ahead


class ChosenDayForm(forms.Form):
    """For a form with `quick` (offered days, and another one) and `on` (that other day)."""

    today: date  # set as the form is made

    def clean_on(self) -> date | None:
        return day_within(
            self.cleaned_data["on"],
            first=self.today,
            last=years_before(self.today, -YEARS_AHEAD),
            early="This day has passed. Choose today or a later day.",
            late="This is more than two years ahead. Look at the year.",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and self._chosen(data) is None:
            self.add_error("on", "Choose a day.")
        return data

    def _chosen(self, data: dict[str, Any]) -> date | None:
        quick = data.get("quick")
        if quick and quick != OTHER_DAY:
            return date.fromisoformat(quick)
        day: date | None = data.get("on")
        return day

    @property
    def day(self) -> date:
        day = self._chosen(self.cleaned_data)
        assert day is not None  # clean() has seen to it
        return day
