"""What people say about themselves."""

from typing import Any

from django import forms

from caseboard.lib.phone import PhoneField
from caseboard.lib.text_safe import SafeCharField
from horses.forms.versioned import VersionedForm
from horses.models import Person


def value_words(name: str, value: Any) -> str:
    """One setting as people read it, for a page that compares two."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    choices: dict[str, list[tuple[str, Any]]] = {
        "length_unit": Person.LengthUnit.choices,
        "weight_unit": Person.WeightUnit.choices,
        "side_words": Person.SideWords.choices,
        "paper": Person.Paper.choices,
    }
    return str(dict(choices.get(name, [])).get(str(value), value))


CHOOSE = {"required": "Please choose one.", "invalid_choice": "Please choose one of these."}


class MeForm(VersionedForm):
    name = SafeCharField(
        label="Your name", max_length=120, help_text="The others on your teams see this name."
    )
    phone = PhoneField(
        label="Phone",
        max_length=40,
        required=False,
        help_text="Your teams see it and can ring you. It is printed on the plan sheet.",
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "tel"}),
    )
    length_unit = forms.ChoiceField(
        label="Lengths in",
        choices=Person.LengthUnit.choices,
        widget=forms.RadioSelect,
        error_messages=CHOOSE,
    )
    weight_unit = forms.ChoiceField(
        label="Weights in",
        choices=Person.WeightUnit.choices,
        widget=forms.RadioSelect,
        error_messages=CHOOSE,
    )
    side_words = forms.ChoiceField(
        label="The sides of a horse",
        choices=Person.SideWords.choices,
        widget=forms.RadioSelect,
        error_messages=CHOOSE,
    )
    paper = forms.ChoiceField(
        label="Paper",
        choices=Person.Paper.choices,
        widget=forms.RadioSelect,
        error_messages=CHOOSE,
    )
