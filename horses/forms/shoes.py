"""The short forms of a lost shoe: that it is gone, and what became of it."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeCharField
from horses.domain.wording import sentence_case
from horses.forms.day_limits import day_within
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm
from horses.models import ShoeChange

LONGEST_AGO_YEARS = 1  # house default: nobody writes down an older loss; catches a slip
TODAY, YESTERDAY, DAY = "today", "yesterday", "day"
# What may become of a lost shoe.
SETTLED = (ShoeChange.Kind.BACK, ShoeChange.Kind.NEW, ShoeChange.Kind.OFF)
FOUND = [("yes", "Found, with its nails"), ("no", "Not found yet")]
ALSO = [
    ("in_sole", "A nail or clip is in the sole"),
    ("lame", "Lame, or sore on it"),
    ("heat", "The foot is warm"),
]


class LostShoeForm(KeyedForm):
    """Which foot is enough; the rest helps whoever comes."""

    feet = forms.MultipleChoiceField(
        label="Which foot has lost its shoe?",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Tap the foot that has lost its shoe.",
            "invalid_choice": "Choose from the four feet.",
        },
    )
    when = forms.ChoiceField(
        label="When?",
        choices=[(TODAY, "Today"), (YESTERDAY, "Yesterday"), (DAY, "Another day")],
        initial=TODAY,
        required=False,
        widget=forms.RadioSelect,
    )
    day = DayField(label="Which day", required=False)
    also = forms.MultipleChoiceField(
        label="Any of these?",
        choices=ALSO,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Tick from the list: this is not on it."},
    )
    found = forms.ChoiceField(
        label="The shoe", choices=FOUND, required=False, widget=forms.RadioSelect
    )
    words = SafeCharField(
        label="In a few words",
        required=False,
        max_length=300,
        help_text="How it came off, if you know: caught, sucked off in mud, sprung.",
    )

    def __init__(self, *args: Any, feet: Sequence[tuple[str, str]], today: date, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.today = today
        field = self.fields["feet"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = list(feet)

    def clean_day(self) -> date | None:
        return day_within(
            self.cleaned_data["day"],
            first=years_before(self.today, LONGEST_AGO_YEARS),
            last=self.today,
            early="That is long ago. Look at the year.",
            late="This day is still to come.",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("when") == DAY and not data.get("day") and "day" not in self.errors:
            self.add_error("day", "Which day was it?")
        return data

    @property
    def lost_on(self) -> date:
        chosen = self.cleaned_data.get("when")
        if chosen == DAY:
            day: date = self.cleaned_data["day"]
            return day
        return self.today - timedelta(days=chosen == YESTERDAY)

    @property
    def signs(self) -> list[str]:
        return ["lost_shoe", *self.cleaned_data["also"]]

    @property
    def all_words(self) -> str:
        found = dict(FOUND).get(self.cleaned_data["found"], "")
        shoe = f"Shoe {found.lower()}." if found else ""
        return " ".join(filter(None, (self.cleaned_data["words"], shoe)))


class ShoeBackForm(KeyedForm):
    """What became of it: tacked back, a new one, or left off."""

    kind = forms.ChoiceField(
        label="What was done",
        widget=forms.RadioSelect,
        choices=[(k.value, sentence_case(k.label)) for k in SETTLED],
        initial=ShoeChange.Kind.BACK,
        error_messages={"required": "Choose one.", "invalid_choice": "Choose one of these."},
    )
    feet = forms.MultipleChoiceField(
        label="Which foot",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Which foot was it?",
            "invalid_choice": "Choose from the feet that have lost their shoe.",
        },
    )
    on = DayField(label="Which day", error_messages={"required": "Which day was it?"})
    words = SafeCharField(label="Who did it, and anything to watch", required=False, max_length=300)

    def __init__(self, *args: Any, feet: Sequence[tuple[str, str]], today: date, **kwargs: Any):
        kwargs["initial"] = {"feet": [foot for foot, _ in feet], "on": today}
        super().__init__(*args, **kwargs)
        self.today = today
        field = self.fields["feet"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = list(feet)

    def clean_on(self) -> date | None:
        return day_within(
            self.cleaned_data["on"],
            first=years_before(self.today, LONGEST_AGO_YEARS),
            last=self.today,
            early="That is long ago. Look at the year.",
            late="This day is still to come.",
        )


FURTHEST_SHOW_YEARS = 1  # house default: catches a slip in the year


class ShowForm(forms.Form):
    """The day of the show."""

    on = DayField(label="Day of the show", error_messages={"required": "Which day is the show?"})

    def __init__(self, *args: Any, today: date, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_on(self) -> date | None:
        return day_within(
            self.cleaned_data["on"],
            first=self.today,
            last=years_before(self.today, -FURTHEST_SHOW_YEARS),
            early="This day has passed. Choose today or a later day.",
            late="This is more than a year ahead. Look at the year.",
        )
