"""Which days can be meant: far past and far future ones are slips of the finger."""

from datetime import date

from django import forms


def day_within(day: date | None, *, first: date, last: date, early: str, late: str) -> date | None:
    """The day as it is; raises ValidationError with the words for one too early or too late."""
    if day is not None and day < first:
        raise forms.ValidationError(early)
    if day is not None and day > last:
        raise forms.ValidationError(late)
    return day
