"""What a visit's form asks once before it saves: an untouched sheet, a second visit, a shoe left on.

Each question is an error with a box to tick beside it; ticked, the sheet is saved as it is.
"""

from collections.abc import Sequence

from django import forms

from caseboard.lib.spans import one_or

UNTOUCHED, AGAIN, SHOE_ON = "sure-untouched", "sure-again", "sure-shoe-on"
LABELS = {
    UNTOUCHED: "Trimmed only, nothing measured: save it like this",
    AGAIN: "This is another one",
    SHOE_ON: "No shoe work all the same: save it like this",
}
UNTOUCHED_ASKED = (
    "Nothing is written down yet but the feet ticked as trimmed. Measure, choose what was done or "
    "say it in words; or tick the box here."
)


class Doubts:
    """The boxes of one form. They are shown only once their question has come up."""

    def __init__(self, form: forms.Form) -> None:
        self.form = form
        self._asked: set[str] = set()
        for name, label in LABELS.items():
            form.fields[name] = forms.BooleanField(required=False, label=label)

    def shown(self, *names: str) -> list[forms.BoundField]:
        return [self.form[name] for name in names if name in self._asked]

    def ask_untouched(self) -> None:
        self._ask(UNTOUCHED, UNTOUCHED_ASKED)

    def ask_again(self, by: str) -> None:
        self._ask(AGAIN, f"There is a visit of this day already, by {by}.")

    def ask_shoe_on(self, feet: Sequence[str]) -> None:
        names = " and ".join(filter(None, [", ".join(feet[:-1]), feet[-1]]))
        are = one_or(len(feet), "is", "are")
        self._ask(
            SHOE_ON,
            f"The {names} came shod and {are} ticked as trimmed, with no shoe work. A shoe is "
            "taken off to trim: was it set again, or a new one put on? Choose it at the foot.",
        )

    def _ask(self, name: str, question: str) -> None:
        self._asked.add(name)  # stays in sight once ticked
        if not self.form.cleaned_data.get(name):
            self.form.add_error(name, question)
