"""What passes on at a sale, who leaves, and when."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms

from horses.forms.day_limits import day_within
from horses.forms.days import DayField
from horses.forms.email_field import SafeEmailField
from horses.models import Case, Membership
from horses.queries.sale import goes_unless_said

LATEST = timedelta(days=90)  # house default: a sale further off is written down when it is near


class SaleForm(forms.Form):
    email = SafeEmailField(
        label="The new owner's email address",
        max_length=254,
        help_text="They are asked to join as owner, within 7 days.",
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    boards = forms.MultipleChoiceField(
        label="What passes on beside the standing care?",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="A board that you leave out does not pass on; nobody of those who leave reads it either.",
        error_messages={"invalid_choice": "Choose from these boards."},
    )
    leavers = forms.MultipleChoiceField(
        label="Who leaves?",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Once the new owner is here. Whoever stays is theirs to keep or to remove.",
        error_messages={"invalid_choice": "Choose from the team."},
    )
    leave_on = DayField(label="Not before")
    vet_asked = forms.BooleanField(
        label="I have talked with the vet about what the new owner should have",
        error_messages={"required": "Please talk with the vet first: it is the vet's record too."},
    )

    def __init__(
        self,
        *args: Any,
        boards: Sequence[Case],
        team: Sequence[Membership],
        today: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.initial["leave_on"] = today
        concerns = [(case.public_id, case.title) for case in boards if case.is_concern]
        self._choose("boards", concerns, [])
        people = [(m.public_id, f"{m.person} ({_as(m)})") for m in team]
        self._choose("leavers", people, goes_unless_said(team))
        if not any(m.role == "vet" for m in team):
            del self.fields["vet_asked"]

    def _choose(self, name: str, choices: list[tuple[str, str]], chosen: list[str]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = choices
        self.initial[name] = chosen
        if not choices:
            del self.fields[name]

    def clean_leave_on(self) -> date | None:
        return day_within(
            self.cleaned_data["leave_on"],
            first=self.today,
            last=self.today + LATEST,
            early="This day has been.",
            late="That is far off. Come back when the sale is near.",
        )


def _as(member: Membership) -> str:
    if member.runs_yard:
        return "manager of the yard"
    return f"stand-in {member.role}" if member.stand_in else str(member.role)
