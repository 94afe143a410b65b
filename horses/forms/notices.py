"""What somebody wants to be mailed, and when not."""

from typing import Any

from django import forms

from horses.models import Case, Person

CHOOSE = {"required": "Please choose one.", "invalid_choice": "Please choose one of these."}
TIMES = ("%H:%M", "%H.%M", "%H:%M:%S", "%H")


class ClockField(forms.TimeField):
    """A time of day, picked or typed."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
        super().__init__(required=False, input_formats=TIMES, widget=widget, **kwargs)
        self.error_messages["invalid"] = "This is not a time we can read. Write it like 21:30."


class NoticeChoicesForm(forms.Form):
    mail_when = forms.ChoiceField(
        label="Mail me",
        choices=Person.MailWhen.choices,
        widget=forms.RadioSelect,
        error_messages=CHOOSE,
    )
    quiet_from = ClockField(label="Quiet from")
    quiet_to = ClockField(label="Quiet until")
    muted = forms.MultipleChoiceField(
        label="No mail about",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Ticked boards stay in your list of notices, and what is urgent is mailed all "
        "the same.",
        error_messages={"invalid_choice": "This is not a board of yours."},
    )

    def __init__(self, data: Any, *, cases: list[Case], initial: dict[str, Any]) -> None:
        super().__init__(data, initial=initial)
        named = [(case.public_id, f"{case.horse.name}: {case.title}") for case in cases]
        self.fields["muted"].choices = named  # type: ignore[attr-defined]  # a MultipleChoiceField, as declared above

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        start, end = given.get("quiet_from"), given.get("quiet_to")
        for name, value, other in (("quiet_to", end, start), ("quiet_from", start, end)):
            if value is None and other is not None and name not in self.errors:
                self.add_error(name, "Give both times, or neither.")
        if start is not None and start == end:
            self.add_error("quiet_to", "The quiet hours end when they begin. Leave both empty.")
        return given
