"""What a person measures at a visit, and on which feet; whether they see the last values first."""

from collections.abc import Iterable
from typing import Any, cast

from django import forms

from measurements.hoof.quantities import QUANTITIES, TrimState
from measurements.panels.offered import foot_words
from measurements.panels.visit_set import FEET, every_key


def key_words(key: str) -> str:
    """ "Toe angle, after the trim"."""
    quantity, _, moment = key.partition("-")
    return f"{QUANTITIES[quantity].label.capitalize()}, {TrimState(moment).label}"


class VisitSetupForm(forms.Form):
    measured = forms.MultipleChoiceField(
        label="What I measure at a visit",
        choices=[(key, key_words(key)) for key in every_key()],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="These stand open. What the vet asks for is added; all else is a tap away.",
        error_messages={"invalid_choice": "Choose from the list."},
    )
    blind = forms.BooleanField(
        label="Do not show me the last values before I enter the new ones",
        required=False,
        help_text="A value that is seen pulls the next one towards it. Plus and minus then step "
        "from what you typed.",
    )

    def __init__(self, *args: Any, side_words: str, shoes: Iterable[str], **kwargs: Any) -> None:
        """`shoes`: the names of the person's own shoes."""
        super().__init__(*args, **kwargs)
        names = list(shoes)
        self.fields["feet"] = forms.MultipleChoiceField(
            label="On which feet",
            choices=[(foot, foot_words(foot, side_words).capitalize()) for foot in FEET],
            widget=forms.CheckboxSelectMultiple,
            error_messages={
                "invalid_choice": "Choose from the list.",
                "required": "Choose one foot at least.",
            },
        )
        self.fields["without"] = forms.MultipleChoiceField(
            label="My own shoes: tick one to forget it",
            choices=[(name, name) for name in names],
            widget=forms.CheckboxSelectMultiple if names else forms.MultipleHiddenInput,
            required=False,
            error_messages={"invalid_choice": "It is forgotten already."},
        )
        self.order_fields(["measured", "feet", "blind", "without"])

    @property
    def own_shoes(self) -> forms.BoundField | None:
        field = self["without"]
        return field if cast(forms.MultipleChoiceField, field.field).choices else None
