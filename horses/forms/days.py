"""A day as people enter it: picked from the phone's calendar, or typed."""

from datetime import date
from typing import Any

from django import forms

FORMATS = ("%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y", "%d %B %Y", "%d %b %Y")
NOT_A_DAY = "This is not a day we can read. Write it like 31/12/2026."


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")


class DayField(forms.DateField):
    """One day. Which days are possible is the form's to say: it is handed today's date."""

    widget = DayInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", FORMATS)
        super().__init__(**kwargs)
        self.error_messages["invalid"] = NOT_A_DAY
        self.error_messages["required"] = "Please give the day."


TIME_FORMATS = ("%H:%M", "%H.%M", "%H:%M:%S")
NOT_A_TIME = "This is not a time we can read. Write it like 9:30."


class TimeInput(forms.TimeInput):
    input_type = "time"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%H:%M")


class TimeField(forms.TimeField):
    """A time of day."""

    widget = TimeInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", TIME_FORMATS)
        super().__init__(**kwargs)
        self.error_messages["invalid"] = NOT_A_TIME


def years_before(day: date, years: int) -> date:
    """The same day some years earlier; 28 February for a 29th that is not there."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)
