"""The time between trims: fixed weeks, by age, or the vet's order."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.html import format_html

from caseboard.lib.text_safe import SafeCharField
from horses.domain.foals import SCHEDULES, USUAL_SCHEDULE, is_young
from horses.forms.day_limits import day_within
from horses.forms.days import DayField
from horses.forms.horse import DAYS_A_WEEK, LONGEST_WEEKS, SHORTEST_WEEKS
from horses.forms.versioned import VersionedForm
from horses.models import Horse
from horses.services.interval import IntervalWish

TEAM, AGE, VET = Horse.Basis.TEAM, Horse.Basis.AGE, Horse.Basis.VET
LATEST_WEANING_DAYS = 730  # house default: later than any foal is weaned


def _weeks(label: str, *, required: bool, help_text: str = "") -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        required=required,
        min_value=SHORTEST_WEEKS,
        max_value=LONGEST_WEEKS,
        help_text=help_text,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        error_messages={
            "required": "Please say how many weeks.",
            "invalid": "Write a whole number of weeks, like 7.",
            "min_value": f"At least {SHORTEST_WEEKS} weeks.",
            "max_value": f"At most {LONGEST_WEEKS} weeks.",
        },
    )


class IntervalForm(VersionedForm):
    basis = forms.ChoiceField(
        label="What it goes by",
        widget=forms.RadioSelect,
        error_messages={
            "required": "Please choose what it goes by.",
            "invalid_choice": "Please choose one of these.",
        },
    )
    weeks = _weeks("Weeks between trims", required=False)
    winter_weeks = _weeks(
        "In winter, November to February",
        required=False,
        help_text="Only when it differs: hooves grow slower in the cold.",
    )
    schedule = forms.ChoiceField(
        label="Which rule for the young horse",
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Please choose one of these."},
    )
    weaned_on = DayField(
        label="Weaned", required=False, help_text="Left empty, six months are taken."
    )
    why = SafeCharField(label="Why", required=False, max_length=300)

    def __init__(self, *args: Any, horse: Horse, today: date, is_vet: bool, **kwargs: Any) -> None:
        kwargs.setdefault("initial", _initial(horse, today))
        super().__init__(*args, **kwargs)
        self.horse, self.today = horse, today
        self._choices("basis", _bases(horse, today, is_vet=is_vet))
        self._choices(
            "schedule",
            [
                (s.key, format_html("{}<small>{}. Source: {}</small>", s.label, s.words, s.source))
                for s in SCHEDULES.values()
            ],
        )

    def _choices(self, name: str, choices: Sequence[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = list(choices)

    @property
    def has_age(self) -> bool:
        return is_young(self.horse.born_on, self.today)

    def clean_weaned_on(self) -> date | None:
        born = self.horse.born_on
        if born is None:
            return None
        return day_within(
            self.cleaned_data["weaned_on"],
            first=born,
            last=date.fromordinal(born.toordinal() + LATEST_WEANING_DAYS),
            early="The horse was not born yet on this day.",
            late="This is very late for a weaning. Look at the year.",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        basis = data.get("basis")
        if basis in (TEAM, VET) and "weeks" in data and data["weeks"] is None:
            self.add_error("weeks", "Please say how many weeks.")
        if basis == VET and not data.get("why"):
            self.add_error("why", "Please say why: the team goes by it.")
        return data

    @property
    def wish(self) -> IntervalWish:
        data = self.cleaned_data
        winter = data["winter_weeks"] if data["basis"] == TEAM else None
        return IntervalWish(
            basis=data["basis"],
            days=data["weeks"] * DAYS_A_WEEK if data["weeks"] else self.horse.interval_days,
            winter_days=winter * DAYS_A_WEEK if winter else None,
            schedule=data["schedule"] or self.horse.young_schedule,
            weaned_on=data["weaned_on"] if self.has_age else self.horse.weaned_on,
            why=data["why"],
        )


def _bases(horse: Horse, today: date, *, is_vet: bool) -> list[tuple[str, str]]:
    bases: list[tuple[str, str]] = [(TEAM, "So many weeks, as the team agrees")]
    if is_young(horse.born_on, today):
        bases.append((AGE, "By its age, as for young horses"))
    if is_vet:
        bases.append((VET, "The vet's order: nobody else changes it"))
    return bases


def _initial(horse: Horse, today: date) -> dict[str, Any]:
    basis = horse.interval_basis
    if basis == Horse.Basis.DEFAULT:
        basis = AGE if is_young(horse.born_on, today) else TEAM
    winter = horse.interval_winter_days
    return {
        "version": horse.version,
        "basis": basis,
        "weeks": round(horse.interval_days / DAYS_A_WEEK),
        "winter_weeks": round(winter / DAYS_A_WEEK) if winter else None,
        "schedule": horse.young_schedule or USUAL_SCHEDULE,
        "weaned_on": horse.weaned_on,
        "why": "",
    }
