"""An answer to an alert; the whole team reads it."""

from django import forms

from caseboard.lib.text_safe import SafeTextField
from horses.forms.keyed import KeyedForm


class AlertAnswerForm(KeyedForm):
    words = SafeTextField(
        label="Your answer", widget=forms.Textarea(attrs={"rows": 4}),
        help_text="What you make of it, or what you will do. The alert itself goes when the numbers do.",
    )  # fmt: skip
