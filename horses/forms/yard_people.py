"""Whom to ask to a yard, and what a manager says to who came."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.html import format_html

from horses.forms.day_limits import day_within
from horses.forms.days import DayField
from horses.forms.email_field import SafeEmailField
from horses.models import YardMember, YardRole
from horses.queries.yards import YardHorse

CHOICES = (
    (YardRole.FARRIER, "Measures, trims, shoes."),
    (YardRole.VET, "Examines, treats."),
    (YardRole.CARER, "Groom, rider, sharer. Several may use the link."),
    (YardRole.OWNER, "Keeps a horse here, and sees that one only. Several may use the link."),
    (YardRole.STAND_IN, "Comes when the usual farrier cannot."),
    (YardRole.MANAGER, "Runs the yard with you, and may do all that you may."),
)


class YardInviteForm(forms.Form):
    role = forms.ChoiceField(
        label="As what?",
        choices=[
            (role.value, format_html("{} <small>{}</small>", role.label.capitalize(), words))
            for role, words in CHOICES
        ],
        widget=forms.RadioSelect,
        error_messages={
            "required": "Please choose one.",
            "invalid_choice": "Please choose one of these.",
        },
    )
    email = SafeEmailField(
        label="Send it by mail to",
        max_length=254,
        required=False,
        help_text="Left empty: you show the link on your screen, or send it as a text message.",
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )


class YardConfirmForm(forms.Form):
    """The yes: for a stand-in until when, for a livery owner which horses are theirs."""

    seen = forms.CharField(required=False, max_length=20_000, widget=forms.HiddenInput)
    until_on = DayField(label="Last day, if it is for a time", required=False)
    horses = forms.MultipleChoiceField(
        label="Which horses are theirs?",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="They own these from now on and decide for them. You plan and record there, and "
        "no longer agree for the owner.",
        error_messages={"invalid_choice": "Choose from the yard's own horses."},
    )

    def __init__(
        self,
        *args: Any,
        member: YardMember,
        today: date,
        own: Sequence[YardHorse] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        if member.role == YardRole.OWNER and own:
            field = self.fields["horses"]
            assert isinstance(field, forms.MultipleChoiceField)
            field.choices = [(h.case.public_id, h.horse.name) for h in own]
        else:
            del self.fields["horses"]
        if member.role != YardRole.STAND_IN:
            del self.fields["until_on"]

    def clean_until_on(self) -> date | None:
        return day_within(
            self.cleaned_data["until_on"],
            first=self.today,
            last=date.max,
            early="This day has been.",
            late="",
        )
