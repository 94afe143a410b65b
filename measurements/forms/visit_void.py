"""Taking back a visit: why."""

from django import forms

from caseboard.lib.text_safe import SafeCharField


class VisitVoidForm(forms.Form):
    reason = SafeCharField(
        label="Why", max_length=300, help_text="The whole team reads it, for good: for example, "
        "“It was written on the wrong horse.”",
        error_messages={"required": "Say why: the line stays on the board, struck through."},
    )  # fmt: skip
