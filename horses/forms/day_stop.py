"""The forms of a stop: another day for all its horses, or no visit at all."""

from datetime import date, timedelta
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeCharField
from horses.domain.wording import day_words
from horses.forms.chosen_day import OTHER_DAY, ChosenDayForm
from horses.forms.days import DayField, TimeField
from horses.forms.keyed import KeyedForm

NEAR = (1, 2, 7)  # days after the planned one that are offered; house default


class StopMoveForm(ChosenDayForm, KeyedForm):
    quick = forms.ChoiceField(
        label="To which day",
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of the days, or another day."},
    )
    on = DayField(label="Another day", required=False)
    at = TimeField(label="At what time", required=False, help_text="Left empty: as it was.")
    words = SafeCharField(
        label="In a few words",
        required=False,
        max_length=300,
        help_text="Left empty: as it was.",
    )

    def __init__(self, *args: Any, today: date, planned_on: date | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        start = max(planned_on or today, today)
        days = [start + timedelta(days=after) for after in NEAR]
        quick = self.fields["quick"]
        assert isinstance(quick, forms.ChoiceField)
        offered = [(day.isoformat(), f"{day:%a} {day_words(day)}") for day in days]
        quick.choices = [*offered, (OTHER_DAY, "Another day")]


class StopCancelForm(KeyedForm):
    reason = SafeCharField(
        label="Why",
        max_length=300,
        help_text="The teams of these horses read it.",
        error_messages={"required": "Say why: the others have planned for that day."},
    )
