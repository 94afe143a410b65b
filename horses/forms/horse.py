"""What is written about a horse."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.forms import BoundField

from caseboard.lib.phone import PhoneField
from caseboard.lib.text_safe import SafeCharField, SafeTextField
from caseboard.lib.words import date_words
from horses.domain.identity import IdentityUnreadable, microchip_read, ueln_filled_up, ueln_read
from horses.forms.day_limits import day_within
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm
from horses.forms.versioned import VersionedForm
from horses.models import Horse, Role

OLDEST_YEARS = 60  # house default: older than any horse on record
TRIM_YEARS_BACK = 5  # house default: what is further back dates no cycle any more
SHORTEST_WEEKS, LONGEST_WEEKS = 2, 26  # house default
DAYS_A_WEEK = 7

LABELS = {
    "name": "Name",
    "born_on": "Born",
    "sex": "Mare, gelding, stallion",
    "breed": "Breed or type",
    "use": "Work",
    "footing": "Ground it lives and works on",
    "turnout": "Turned out",
    "yard": "Where it stands",
    "handling": "Good to know when handling it",
    "danger": "Dangers",
    "held_by": "Who holds the horse",
    "microchip": "Microchip number",
    "ueln": "UELN",
    "emergency_vet_name": "Vet to ring in an emergency",
    "emergency_vet_phone": "Emergency phone number",
    "interval_days": "Weeks between trims",
}


@dataclass(frozen=True)
class Section:
    title: str
    fields: list[BoundField]
    words: str = ""

    @property
    def parts(self) -> list["SectionPart"]:
        return [SectionPart(field, **LOOKS.get(field.name, {})) for field in self.fields]


@dataclass(frozen=True)
class SectionPart:
    """A field and how it is shown; empty: as every other."""

    field: BoundField
    unit: str = ""
    size: str = ""
    optional: str = ""


LOOKS: dict[str, dict[str, str]] = {
    "interval_weeks": {"unit": "weeks", "size": "short"},
    "born_on": {"size": "short"},
    "last_trim_on": {"size": "short"},
    "emergency_vet_name": {"optional": "(please)"},
    "emergency_vet_phone": {"optional": "(please)"},
}

SECTIONS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("The horse", "", ("name", "born_on", "sex", "breed", "use")),
    (
        "When it is urgent",
        "Please fill this in today. It stands where your team looks when something is wrong, out "
        "of hours and without a connection too.",
        ("emergency_vet_phone", "emergency_vet_name"),
    ),
    ("The feet", "", ("interval_weeks", "footing", "turnout")),
    (
        "For whoever comes",
        "Your farrier and your vet read this on the way to you.",
        ("yard", "held_by", "danger", "handling"),
    ),
    ("Identity numbers", "", ("microchip", "ueln")),
)


def _choice(name: str, choices: Sequence[tuple[str, str]]) -> forms.ChoiceField:
    field = forms.ChoiceField(
        label=LABELS[name], choices=[("", "not said"), *choices], required=False
    )
    field.error_messages["invalid_choice"] = "Please choose one of the list."
    return field


class HorseForm(forms.Form):
    """All that is written about a horse; only the name is needed."""

    name = SafeCharField(label=LABELS["name"], max_length=80)
    born_on = DayField(
        label=LABELS["born_on"], required=False, help_text="A guess is better than nothing."
    )
    sex = _choice("sex", Horse.Sex.choices)
    breed = SafeCharField(label=LABELS["breed"], max_length=80, required=False)
    use = _choice("use", Horse.Use.choices)
    footing = _choice("footing", Horse.Footing.choices)
    turnout = _choice("turnout", Horse.Turnout.choices)
    yard = SafeCharField(label=LABELS["yard"], max_length=120, required=False)
    handling = SafeTextField(
        label=LABELS["handling"],
        max_length=500,
        required=False,
        help_text="Everybody on the team reads it: kicks, will not stand for a hind foot, ...",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    danger = SafeCharField(
        label=LABELS["danger"],
        max_length=300,
        required=False,
        help_text="What can hurt somebody: kicks behind, strikes, needs to be sedated by the vet.",
    )
    held_by = SafeCharField(
        label=LABELS["held_by"],
        max_length=200,
        required=False,
        help_text="A name and a phone number, or: tied up in the aisle.",
    )
    microchip = SafeCharField(
        label=LABELS["microchip"],
        max_length=40,
        required=False,
        help_text="15 digits. Gaps do not matter.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    ueln = SafeCharField(
        label=LABELS["ueln"],
        max_length=40,
        required=False,
        help_text="The 15 characters from the passport. Gaps do not matter.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    emergency_vet_name = SafeCharField(
        label=LABELS["emergency_vet_name"],
        max_length=120,
        required=False,
        help_text="The practice on call, whether or not a vet is on the team.",
    )
    emergency_vet_phone = PhoneField(
        label=LABELS["emergency_vet_phone"],
        max_length=40,
        required=False,
        help_text="The number that is answered at night and on Sundays.",
        widget=forms.TextInput(attrs={"inputmode": "tel"}),
    )
    interval_weeks = forms.IntegerField(
        label=LABELS["interval_days"],
        initial=7,
        min_value=SHORTEST_WEEKS,
        max_value=LONGEST_WEEKS,
        # 6 to 8 weeks: common practice, no source. Not more than 6: Lesniak and others, Animals 2017.
        help_text="How long after a trim the next one is due. Six to eight weeks is usual; ask your "
        "farrier. Some research advises not more than six.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        error_messages={
            "required": "Please say how many weeks.",
            "invalid": "Write a whole number of weeks, like 7.",
            "min_value": f"At least {SHORTEST_WEEKS} weeks.",
            "max_value": f"At most {LONGEST_WEEKS} weeks.",
        },
    )

    def __init__(self, *args: Any, today: date, horse: Horse | None = None, **kwargs: Any) -> None:
        self.today, self.horse = today, horse
        self.doubts: list[str] = []  # to look at again; they do not stop the saving
        if horse is not None:
            kwargs.setdefault("initial", horse_initial(horse))
        super().__init__(*args, **kwargs)
        if horse is not None and horse.interval_basis == Horse.Basis.VET:
            weeks = self.fields["interval_weeks"]
            weeks.disabled, weeks.help_text = True, "The vet's order: only a vet changes it."

    def clean_born_on(self) -> date | None:
        born: date | None = self.cleaned_data["born_on"]
        if born and born > self.today:
            raise forms.ValidationError("This day is still to come.")
        if born and born < years_before(self.today, OLDEST_YEARS):
            raise forms.ValidationError(
                f"This is more than {OLDEST_YEARS} years ago. Please look at the year again."
            )
        return born

    def clean_microchip(self) -> str:
        typed = self.cleaned_data["microchip"]
        if not typed:
            return ""
        try:
            chip = microchip_read(typed)
        except IdentityUnreadable as error:
            raise forms.ValidationError(str(error)) from None
        if chip.doubt:
            self.doubts.append(f"Microchip {chip.number}: {chip.doubt}")
        return chip.number

    def clean_ueln(self) -> str:
        typed = self.cleaned_data["ueln"]
        if not typed:
            return ""
        try:
            number, filled_up = ueln_read(typed), ueln_filled_up(typed)
        except IdentityUnreadable as error:
            raise forms.ValidationError(str(error)) from None
        if filled_up:
            self.doubts.append(f"UELN {number}: zeros were filled in. Does the passport say so?")
        return number

    def horse_fields(self) -> dict[str, Any]:
        """The cleaned values under the names of the horse's own fields."""
        fields = {name: self.cleaned_data[name] for name in LABELS if name in self.cleaned_data}
        return {**fields, "interval_days": self._interval_days()}

    def _interval_days(self) -> int:
        """In days; an interval that was never whole weeks stays when it was left alone."""
        weeks: int = self.cleaned_data["interval_weeks"]
        if self.horse is not None and weeks == round(self.horse.interval_days / DAYS_A_WEEK):
            return self.horse.interval_days
        return weeks * DAYS_A_WEEK

    def sections(self) -> list[Section]:
        return [Section(title, [self[n] for n in names], words) for title, words, names in SECTIONS]


class HorseNewForm(HorseForm, KeyedForm):
    """A new horse: one's own, or a customer's, whose farrier or vet one is."""

    whose = forms.ChoiceField(
        label="Whose horse",
        choices=[
            ("owner", "Mine, or of the yard I run"),
            ("farrier", "A customer’s: I am its farrier"),
            ("vet", "A customer’s: I am its vet"),
        ],
        initial="owner",
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of the three."},
    )
    owner_name = SafeCharField(
        label="Its owner",
        max_length=120,
        required=False,
        help_text="For a customer’s horse. Kept until the owner joins, or asks you to erase it.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    owner_phone = PhoneField(
        label="Its owner’s phone number",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
    )
    last_trim_on = DayField(
        label="Last trimmed or shod",
        required=False,
        help_text="As far as you know. The next due date counts from it.",
    )

    def clean_last_trim_on(self) -> date | None:
        return day_within(
            self.cleaned_data["last_trim_on"],
            first=years_before(self.today, TRIM_YEARS_BACK),
            last=self.today,
            early="This is more than five years ago. Look at the year.",
            late="This day is still to come.",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("whose") in (Role.FARRIER, Role.VET) and not data.get("owner_name"):
            self.add_error("owner_name", "Write whose horse it is.")
        return data

    @property
    def held_for(self) -> tuple[Role, str, str] | None:
        """The maker's role, and the owner's name and phone; None for one's own."""
        data = self.cleaned_data
        if data["whose"] not in (Role.FARRIER, Role.VET):
            return None
        return Role(data["whose"]), data["owner_name"], data["owner_phone"]

    def sections(self) -> list[Section]:
        first, *others = super().sections()
        names = ("whose", "owner_name", "owner_phone")
        feet = [s for s in others if s.title == "The feet"]
        for section in feet:
            section.fields.insert(0, self["last_trim_on"])
        return [first, Section("Whose horse it is", [self[name] for name in names]), *others]


class HorseEditForm(HorseForm, VersionedForm):
    pass


def horse_initial(horse: Horse) -> dict[str, Any]:
    """The horse as the form shows it."""
    initial = {name: getattr(horse, name) for name in LABELS if name != "interval_days"}
    weeks = round(horse.interval_days / DAYS_A_WEEK)
    return {**initial, "interval_weeks": weeks, "version": horse.version}


def horse_value_words(name: str, value: Any) -> str:
    """One value of a horse's field as people read it, for a page that compares two."""
    if value in (None, ""):
        return ""
    if name == "interval_days":
        return f"{round(int(value) / DAYS_A_WEEK)}"
    if name == "born_on":
        return date_words(date.fromisoformat(str(value)))
    choices: dict[str, dict[str, str]] = {
        "sex": dict(Horse.Sex.choices),
        "use": dict(Horse.Use.choices),
        "footing": dict(Horse.Footing.choices),
        "turnout": dict(Horse.Turnout.choices),
    }
    return choices.get(name, {}).get(str(value), str(value))
