"""Opening a case for a concern, and closing it."""

from django import forms

from caseboard.lib.text_safe import SafeCharField, SafeTextField
from horses.forms.keyed import KeyedForm
from horses.models import Case


class CaseOpenForm(KeyedForm):
    title = SafeCharField(
        label="What is it about?",
        max_length=120,
        help_text="A few words that the team will know it by: “Short stride in front”.",
    )
    why = SafeTextField(
        label="Why now?",
        required=False,
        help_text="What was seen, since when, what you would like to know. It becomes the first "
        "note of the case; the whole team reads it.",
        widget=forms.Textarea(attrs={"rows": 5}),
    )


class CaseCloseForm(forms.Form):
    outcome = forms.ChoiceField(
        label="How did it end?",
        choices=Case.Outcome.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": "Please choose how it ended.",
            "invalid_choice": "Please choose one of these.",
        },
    )
    words = SafeTextField(
        label="In your words",
        help_text="How the horse goes now, and what helped or did not. It is read years later. "
        "The whole team reads it.",
        widget=forms.Textarea(attrs={"rows": 5}),
        error_messages={"required": "Please say in a few words how it ended."},
    )
