"""Asking somebody to join a team."""

from typing import Any

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString

from horses.forms.email_field import SafeEmailField
from horses.models import Role

# What each role is there for, in one line each; the whole table is a page of its own.
ROLE_WORDS = {
    Role.OWNER: "The owner, or who runs the yard. Decides who is on the team, says when something is not "
    "right, agrees for the owner's side.",
    Role.FARRIER: "Farrier or barefoot trimmer. Measures, writes up the visits, sets routine aims, agrees "
    "for the farrier's side.",
    Role.VET: "Examines, answers urgent flags, alone sets treatment targets and treatment items, "
    "agrees for the vet's side.",
    Role.CARER: "Groom, rider, sharer. Reads, and says when something is not right. Agrees to "
    "nothing.",
}


def role_choice(role: Role) -> SafeString:
    return format_html("{} <small>{}</small>", role.label.capitalize(), ROLE_WORDS[role])


class HandOverForm(forms.Form):
    """Who takes the place, on which boards, and when the other one goes."""

    email = SafeEmailField(
        label="Email address of the new one",
        max_length=254,
        help_text="Only this address can take the invitation, within 7 days.",
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    boards = forms.MultipleChoiceField(
        label="On which boards",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one board.",
            "invalid_choice": "Choose from these boards.",
        },
    )
    goes = forms.ChoiceField(
        label="When does the other one go?",
        choices=[("later", ""), ("now", "")],
        widget=forms.RadioSelect,
        initial="later",
        error_messages={
            "required": "Choose one of the two.",
            "invalid_choice": "Choose one of the two.",
        },
    )

    def __init__(self, *args: Any, boards: list[tuple[str, str]], name: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field, goes = self.fields["boards"], self.fields["goes"]
        assert isinstance(field, forms.MultipleChoiceField)
        assert isinstance(goes, forms.ChoiceField)
        field.choices = boards
        self.initial["boards"] = [board for board, _ in boards]
        goes.choices = [
            ("later", f"{name} stays until I take them off the team, so that the two can talk"),
            ("now", f"{name} goes now, and sees nothing more from this moment"),
        ]


class InviteForm(forms.Form):
    email = SafeEmailField(
        label="Email address",
        max_length=254,
        help_text="Only this address can take the invitation, within 7 days.",
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    role = forms.ChoiceField(
        label="Asked to join as",
        choices=[(role.value, role_choice(role)) for role in Role],
        widget=forms.RadioSelect,
        error_messages={
            "required": "Please choose a role.",
            "invalid_choice": "Please choose one of these roles.",
        },
    )
    stand_in = forms.BooleanField(
        label="A stand-in, for a farrier who stands in for the usual one",
        required=False,
    )

    def __init__(self, *args: Any, only: Role | None = None, **kwargs: Any) -> None:
        """`only`: the one role that may be asked, by whoever holds the horse for its owner."""
        super().__init__(*args, **kwargs)
        field = self.fields["role"]
        if only is not None:
            assert isinstance(field, forms.ChoiceField)
            field.choices = [(only.value, role_choice(only))]
            del self.fields["stand_in"]
