"""What happens to a horse's care, and what it weighs."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from caseboard.lib.numbers import NumberUnreadable, Weight, weight_read
from caseboard.lib.text_safe import SafeCharField, SafeTextField
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm
from horses.forms.versioned import VersionedForm
from horses.models import Horse, HorseWeight, Person

# House default: below a miniature's foal, above the heaviest draught horse.
LIGHTEST_KG, HEAVIEST_KG = Decimal(10), Decimal(1500)
OLDEST_YEARS = 60
REASON_LENGTH = 300

ACTIVE, PAUSED, ENDED = Horse.State.ACTIVE, Horse.State.PAUSED, Horse.State.ENDED


@dataclass(frozen=True)
class Happening:
    """Something that changes whether a horse is cared for here."""

    key: str
    words: str
    state: Horse.State
    after: str = ""  # said when it has been saved


HAPPENINGS = (
    Happening("resumed", "Take up the care again", ACTIVE),
    Happening("resting", "It rests or is turned away for a while: pause", PAUSED),
    Happening("away", "It is away for a time: pause", PAUSED),
    Happening("pause", "Another reason to pause", PAUSED),
    Happening("sold", "It was sold or has a new home", ENDED),
    Happening("moved", "It has moved to another yard or team: end the care here", ENDED),
    Happening("died", "It has died", ENDED, "We are sorry. Nobody will be reminded any more."),
    Happening("end", "Another reason to end the care here", ENDED),
)
HAPPENING = {happening.key: happening for happening in HAPPENINGS}
SHORT = {
    "resting": "Resting",
    "away": "Away for a time",
    "sold": "Sold or in a new home",
    "moved": "Moved to another yard or team",
    "died": "Died",
}
SOLD = "sold"
NEEDS_WORDS = frozenset({"pause", "end"})


class HorseStateForm(VersionedForm):
    """Asks what happened; what follows from it is said beside each choice."""

    happening = forms.ChoiceField(
        label="What has happened?",
        widget=forms.RadioSelect,
        error_messages={
            "required": "Please choose what has happened.",
            "invalid_choice": "Please choose one of these.",
        },
    )
    words = SafeTextField(
        label="In your words",
        max_length=REASON_LENGTH - 60,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    sure = forms.BooleanField(label="Yes, end the care", required=False)
    asks_once_more = False  # whether the answer asks for the box above

    def __init__(self, *args: Any, state: str, horse_name: str = "it", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        died = self.data.get(self.add_prefix("happening")) == "died"
        what = f"{horse_name} has died" if died else f"end the care of {horse_name} here"
        self.fields["sure"].label = f"Yes, {what}"
        # Offered is what changes something; a pause or an ending sent twice is still understood.
        self.fields["happening"].choices = [  # type: ignore[attr-defined]  # a ChoiceField, as declared above
            (h.key, h.words) for h in HAPPENINGS if h.state != state or state != ACTIVE
        ]
        self.fields["happening"].widget.choices = [
            (h.key, h.words) for h in HAPPENINGS if h.state != state
        ]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("happening") in NEEDS_WORDS and not cleaned.get("words"):
            self.add_error("words", "Please say in a few words why.")
        chosen = HAPPENING.get(cleaned.get("happening", ""))
        if chosen is not None and chosen.state == ENDED and not self.leads_to_sale:
            self.asks_once_more = True
            if not cleaned.get("sure"):
                self.add_error(
                    "sure", "Not saved yet. Please tick the box, so that no slip says so."
                )
        return cleaned

    @property
    def leads_to_sale(self) -> bool:
        """ "It was sold" is a deed of its own, unless the end of the care was chosen there."""
        return bool(
            self.cleaned_data.get("happening") == SOLD and not self.cleaned_data.get("sure")
        )

    @property
    def happening_chosen(self) -> Happening:
        return HAPPENING[self.cleaned_data["happening"]]

    @property
    def reason(self) -> str:
        """One line for the board: "Sold or in a new home. To friends in the next valley." """
        parts = [SHORT.get(self.happening_chosen.key, ""), self.cleaned_data["words"]]
        return ". ".join(part for part in parts if part)


class WeightForm(KeyedForm):
    weight = SafeCharField(
        label="Weight",
        max_length=40,
        help_text="With a point or a comma.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    unit = forms.ChoiceField(
        label="Unit",
        choices=Person.WeightUnit.choices,
        widget=forms.RadioSelect,
        error_messages={
            "invalid_choice": "Please choose kilograms or pounds.",
            "required": "Please choose kilograms or pounds.",
        },
    )
    method = forms.ChoiceField(
        label="How it was found",
        choices=HorseWeight.Method.choices,
        widget=forms.RadioSelect,
        error_messages={
            "invalid_choice": "Please choose how the weight was found.",
            "required": "Please choose how the weight was found.",
        },
    )
    weighed_on = DayField(label="Day")

    def __init__(self, *args: Any, today: date, born_on: date | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.born_on = today, born_on

    def clean_weighed_on(self) -> date:
        day: date = self.cleaned_data["weighed_on"]
        if day > self.today:
            raise forms.ValidationError("This day is still to come.")
        if self.born_on and day < self.born_on:
            raise forms.ValidationError("The horse was not born yet on this day.")
        if day < years_before(self.today, OLDEST_YEARS):
            raise forms.ValidationError("Please look at the year again.")
        return day

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if "weight" in cleaned and "unit" in cleaned:
            try:
                cleaned["read"] = _weight_checked(cleaned["weight"], cleaned["unit"])
            except NumberUnreadable as error:
                self.add_error("weight", str(error))
        return cleaned

    @property
    def read(self) -> Weight:
        weight: Weight = self.cleaned_data["read"]
        return weight


def _weight_checked(text: str, unit: str) -> Weight:
    weight = weight_read(text, unit)
    if not LIGHTEST_KG <= weight.kg <= HEAVIEST_KG:
        raise NumberUnreadable(
            f"That is {weight.kg:.0f} kg. A horse weighs between {LIGHTEST_KG} and {HEAVIEST_KG} "
            "kg: please look at the number and the unit again."
        )
    return weight
