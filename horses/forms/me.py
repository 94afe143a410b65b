"""What people say about themselves."""

from django import forms

from caseboard.lib.phone import PhoneField
from caseboard.lib.text_safe import SafeCharField
from horses.models import Person

CHOOSE = {"required": "Please choose one.", "invalid_choice": "Please choose one of these."}


class MeForm(forms.Form):
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
        label="Lengths in", choices=Person.LengthUnit.choices, widget=forms.RadioSelect,
        error_messages=CHOOSE,
    )  # fmt: skip
    weight_unit = forms.ChoiceField(
        label="Weights in", choices=Person.WeightUnit.choices, widget=forms.RadioSelect,
        error_messages=CHOOSE,
    )  # fmt: skip
    side_words = forms.ChoiceField(
        label="The sides of a horse", choices=Person.SideWords.choices,
        widget=forms.RadioSelect, error_messages=CHOOSE,
    )  # fmt: skip
    paper = forms.ChoiceField(
        label="Paper", choices=Person.Paper.choices, widget=forms.RadioSelect,
        error_messages=CHOOSE,
    )  # fmt: skip
