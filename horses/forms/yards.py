"""What is written about a yard, its horses line by line, and when they were last trimmed."""

import hashlib
from collections.abc import Sequence
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.conf import settings

from caseboard.lib.phone import PhoneField
from caseboard.lib.text_safe import SafeCharField, SafeTextField
from horses.domain.horse_lines import MOST_LINES, HorseLine, horse_lines
from horses.domain.typed_days import day_typed
from horses.forms.horse import DAYS_A_WEEK, LONGEST_WEEKS, SHORTEST_WEEKS
from horses.forms.keyed import KeyedForm
from horses.forms.versioned import VersionedForm
from horses.models import Case, Yard

WEEKS = f"Between {SHORTEST_WEEKS} and {LONGEST_WEEKS} weeks."


class YardForm(forms.Form):
    """Only the name is needed."""

    name = SafeCharField(label="Name of the yard", max_length=120)
    vet_phone = PhoneField(
        label="Vet's number out of hours",
        max_length=40,
        required=False,
        help_text="It stands on every horse of the yard, where people look when it is urgent.",
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
    )
    vet_name = SafeCharField(label="Whose number that is", max_length=120, required=False)
    address = SafeCharField(label="Address", max_length=300, required=False)
    held_by = SafeCharField(label="Who holds the horses", max_length=200, required=False)
    interval_weeks = forms.IntegerField(
        label="Usual weeks between trims",
        min_value=SHORTEST_WEEKS,
        max_value=LONGEST_WEEKS,
        initial=Yard._meta.get_field("interval_days").get_default() // DAYS_A_WEEK,
        error_messages={"min_value": WEEKS, "max_value": WEEKS, "invalid": WEEKS},
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )

    def yard_fields(self) -> dict[str, Any]:
        given = {k: v for k, v in self.cleaned_data.items() if k in YARD_FIELDS}
        return {**given, "interval_days": self.cleaned_data["interval_weeks"] * DAYS_A_WEEK}


YARD_FIELDS = ("name", "vet_phone", "vet_name", "address", "held_by", "time_zone")


class YardNewForm(YardForm, KeyedForm):
    """With the horses one owns that stand there: equal places in words make no yard."""

    horses = forms.MultipleChoiceField(
        label="Which of your horses stand there?",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Choose from your own horses."},
    )

    def __init__(self, *args: Any, cases: Sequence[Case], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["horses"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(case.public_id, _named(case)) for case in cases]

    def yard_fields(self) -> dict[str, Any]:
        return {**super().yard_fields(), "time_zone": settings.TIME_ZONE}


def _named(case: Case) -> str:
    place = f" ({case.horse.yard})" if case.horse.yard else ""
    return f"{case.horse.name}{place}"


class YardEditForm(YardForm, VersionedForm):
    time_zone = SafeCharField(
        label="Time zone",
        max_length=64,
        help_text="As computers write it, such as Europe/Lisbon. Changing it moves no visit.",
    )

    def clean_time_zone(self) -> str:
        typed: str = self.cleaned_data["time_zone"]
        try:
            return ZoneInfo(typed).key
        except (KeyError, ValueError, OSError):
            raise forms.ValidationError("This is not a time zone we know.") from None


def yard_initial(yard: Yard) -> dict[str, Any]:
    shown = {name: getattr(yard, name) for name in YARD_FIELDS}
    weeks = round(yard.interval_days / DAYS_A_WEEK)
    return {**shown, "interval_weeks": weeks, "version": yard.version}


class HorseLinesForm(KeyedForm):
    """Horses, one a line. Sent once it shows what was understood; sent again unchanged it adds."""

    lines = SafeTextField(
        label="One horse a line",
        max_length=8000,
        help_text="Only the name is needed. What else you know goes behind it: born, shod how, "
        "last trimmed when.",
        widget=forms.Textarea(attrs={"rows": 10, "autocapitalize": "words"}),
    )
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, today: date, names: Sequence[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.names = today, {name.casefold() for name in names}
        self.read: list[HorseLine] = []

    def clean_lines(self) -> str:
        text: str = self.cleaned_data["lines"]
        self.read = horse_lines(text, today=self.today)
        for line in self.read:
            if line.name.casefold() in self.names:
                line.doubts.append("A horse of this name stands here already.")
        if len(self.read) > MOST_LINES:
            raise forms.ValidationError(
                f"These are {len(self.read)} horses; add {MOST_LINES} at a time at most."
            )
        return text

    @property
    def mark(self) -> str:
        """Of what was typed: the button adds only what was shown."""
        text = self.cleaned_data.get("lines", "")
        return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()

    @property
    def was_shown(self) -> bool:
        return self.cleaned_data.get("seen") == self.mark

    @property
    def can_be_added(self) -> bool:
        return bool(self.read) and not any(line.problems for line in self.read)


class LastTrimsForm(forms.Form):
    """When each horse was last trimmed, as people say it; what is left empty stays unknown."""

    def __init__(self, *args: Any, cases: Sequence[Case], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        for case in cases:
            self.fields[case.public_id] = SafeCharField(
                label=case.horse.name, max_length=40, required=False
            )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        for name, typed in list(cleaned.items()):
            if not typed:
                continue
            day = day_typed(typed, today=self.today)
            if day is None:
                self.add_error(name, "Write it like “3 Nov”, “12/10” or “6 weeks ago”.")
            elif day > self.today:
                self.add_error(name, "This day is still to come.")
            else:
                cleaned[name] = day
        return cleaned

    @property
    def days(self) -> dict[str, date]:
        return {name: day for name, day in self.cleaned_data.items() if isinstance(day, date)}
