"""Planning, moving and cancelling the next visit."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.html import format_html

from caseboard.lib.spans import weeks_words
from caseboard.lib.text_safe import SafeCharField
from horses.domain.wording import day_words
from horses.forms.chosen_day import OTHER_DAY, ChosenDayForm
from horses.forms.days import DayField, TimeField
from horses.forms.versioned import VersionedForm

# Days before and after the horse's own interval that are offered with it. House default.
AROUND_DAYS = (-7, 0, 7)


LATE_DAYS = (2, 5, 7)  # days from today that are offered when the horse is overdue; house default


def offered_days(today: date, last_trim: date | None, interval_days: int) -> list[date]:
    """The horse's own interval after its last trim, and a week round it; only days to come.

    Without a trim the interval counts from today; for one that is overdue the next days are offered.
    """
    due = (last_trim or today) + timedelta(days=interval_days)
    days = [due + timedelta(days=shift) for shift in AROUND_DAYS]
    days = [day for day in days if day > today]
    if days or last_trim is None:
        return days or [today + timedelta(days=interval_days)]
    return [today + timedelta(days=soon) for soon in LATE_DAYS]


class VisitPlanForm(ChosenDayForm, VersionedForm):
    """A day for the next visit. `version` is the planned visit that was seen; 0 is none."""

    quick = forms.ChoiceField(
        label="Which day",
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of the days, or another day."},
    )
    on = DayField(label="Another day", required=False)
    at = TimeField(label="At what time", required=False, help_text="By the clock where it stands.")
    who = forms.ChoiceField(
        label="Who comes",
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of the people on the team."},
    )
    words = SafeCharField(
        label="In a few words",
        required=False,
        max_length=300,
        help_text="What is to be done, why it is moved.",
    )

    def __init__(
        self,
        *args: Any,
        today: date,
        days: Sequence[date],
        last_trim: date | None,
        people: Sequence[tuple[str, str]] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        field = self.fields["quick"]
        assert isinstance(field, forms.ChoiceField)
        offered = [(day.isoformat(), _day_choice(day, today, last_trim)) for day in days]
        field.choices = [*offered, (OTHER_DAY, "Another day")]
        who = self.fields["who"]
        assert isinstance(who, forms.ChoiceField)
        who.choices = list(people)


def _day_choice(day: date, today: date, last_trim: date | None) -> str:
    since = (day - (last_trim or today)).days
    after = f"{weeks_words(since)} after the last trim" if last_trim else f"in {weeks_words(since)}"
    return format_html("{}<small>{}</small>", f"{day:%a} {day_words(day)}", after)


class VisitCancelForm(VersionedForm):
    reason = SafeCharField(
        label="Why",
        max_length=300,
        help_text="The whole team reads it.",
        error_messages={"required": "Say why: the others have planned for that day."},
    )
