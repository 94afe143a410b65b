"""Taking back a visit: why, and which horse it was where it was another one."""

from collections.abc import Callable, Sequence
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeCharField
from horses.forms.keyed import KeyedForm


class VisitVoidForm(KeyedForm):
    reason = SafeCharField(
        label="Why",
        max_length=300,
        help_text="The whole team reads it, for good: for example, "
        "“It was written on the wrong horse.”",
        error_messages={"required": "Say why: the line stays on the board, struck through."},
    )
    other = forms.ChoiceField(
        label="It was this horse",
        required=False,
        help_text="The day, the words, the work, the measurements and the day of the next visit are "
        "written up there in your name. Marks on plan items stay behind.",
        error_messages={"invalid_choice": "Choose one of your own horses from the list."},
    )
    sure = forms.BooleanField(label="It was that horse all the same", required=False)

    def __init__(
        self,
        *args: Any,
        boards: Sequence[tuple[str, str]],
        questions: Callable[[str], Sequence[str]],
        sent_before: Callable[[str], bool],
        **kwargs: Any,
    ) -> None:
        """`boards`: the id of each case the visit may belong to, and its words. `questions`: what
        does not fit there, by that id."""
        super().__init__(*args, **kwargs)
        self.questions, self.sent_before = questions, sent_before
        self.asks = False  # the box to tick is shown only once there is something to ask
        other = self.fields["other"]
        assert isinstance(other, forms.ChoiceField)
        other.choices = [("", "no other horse"), *boards]
        if not boards:
            del self.fields["other"]

    @property
    def to(self) -> str:
        """The id of the board it belongs to, or nothing."""
        return str(self.cleaned_data.get("other") or "")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.to and not self.sent_before(self.key):
            asked = self.questions(self.to)
            self.asks = bool(asked)
            if asked and not data.get("sure"):
                for question in asked:
                    self.add_error("other", question)
        return data
