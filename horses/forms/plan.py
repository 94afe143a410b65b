"""The plan's forms: an item's words, one's own word on it, and its end."""

from datetime import date
from typing import Any, cast

from django import forms
from django.http import QueryDict

from caseboard.lib.text_safe import SafeCharField, SafeTextField
from horses.forms.day_limits import day_within
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm
from horses.forms.versioned import VersionedForm
from horses.models import Agreement, PlanItem, PlanItemVersion, Role
from horses.services.plan import ItemContent

# House defaults: a plan reaches back to its case's beginning at most, and nobody plans further.
YEARS_BACK, YEARS_AHEAD = 10, 10
# A band has its own form, which keeps the numbers and the words together.
KINDS = [
    (kind.value, str(kind.label).capitalize())
    for kind in PlanItem.Kind
    if kind != PlanItem.Kind.TARGET
]
LABELS = {
    "text": "What is to be done, or held to",
    "who_does": "Who does it",
    "from_on": "From",
    "until_on": "Until",
    "reason": "Why",
    "therapeutic": "Under the vet's direction",
    "emergency": "In force at once: I set this alone because it cannot wait",
}
YEAR = "Look at the year: this is too far away."


class _ContentForm(KeyedForm):
    """What an item says. `vet` shows the box that only the vet may tick."""

    text = SafeTextField(label=LABELS["text"], widget=forms.Textarea(attrs={"rows": 4}))
    who_does = forms.ChoiceField(
        label=LABELS["who_does"],
        choices=[(r.value, r.label.capitalize()) for r in Role],
        widget=forms.RadioSelect,
        error_messages={
            "required": "Say whose job it is.",
            "invalid_choice": "Choose a role of the team.",
        },
    )
    from_on = DayField(label=LABELS["from_on"], required=False)
    until_on = DayField(label=LABELS["until_on"], required=False)
    reason = SafeTextField(
        label=LABELS["reason"],
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="The others agree to the reason as well.",
    )
    therapeutic = forms.BooleanField(
        label=LABELS["therapeutic"],
        required=False,
        help_text="Then only a vet changes or ends it, and the vet's word is always needed.",
    )

    emergency = forms.BooleanField(
        label=LABELS["emergency"],
        required=False,
        help_text="It stands on the board as “set by the vet, to be agreed”, the others are told as "
        "urgent, and it counts as agreed only when they have agreed. Say why above.",
    )

    def __init__(self, *args: Any, vet: bool, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        if not vet:
            del self.fields["therapeutic"], self.fields["emergency"]

    def _near(self, name: str) -> date | None:
        return day_within(
            self.cleaned_data[name],
            first=years_before(self.today, YEARS_BACK),
            last=years_before(self.today, -YEARS_AHEAD),
            early=YEAR,
            late=YEAR,
        )

    def clean_from_on(self) -> date | None:
        return self._near("from_on")

    def clean_until_on(self) -> date | None:
        return self._near("until_on")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        start, end = data.get("from_on"), data.get("until_on")
        if start and end and end < start:
            self.add_error("until_on", "This is before the day it starts.")
        if data.get("emergency") and not data.get("reason") and "reason" not in self.errors:
            self.add_error("reason", "Say why it cannot wait: the others were not asked first.")
        return data

    def _content(self, kind: str, target: dict[str, Any] | None = None) -> ItemContent:
        data = self.cleaned_data
        return ItemContent(
            kind=kind,
            therapeutic=data.get("therapeutic", False) or data.get("emergency", False),
            emergency=data.get("emergency", False),
            text=data["text"],
            who_does=data["who_does"],
            from_on=data["from_on"],
            until_on=data["until_on"],
            target=target,
            reason=data["reason"],
        )


class ProposeForm(_ContentForm):
    """A new item."""

    kind = forms.ChoiceField(
        label="Kind",
        choices=KINDS,
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose what kind of item it is.",
            "invalid_choice": "Choose one of these kinds.",
        },
    )
    field_order = ("kind",)

    def content(self) -> ItemContent:
        return self._content(self.cleaned_data["kind"])


class ChangeForm(_ContentForm):
    """A new version of an item, written while looking at `seen_version`."""

    seen_version = forms.IntegerField(
        widget=forms.HiddenInput(attrs={"data-keep-field": True}),
        min_value=0,
        error_messages={"required": "The form is incomplete. Reload the page, please."},
    )

    def __init__(self, *args: Any, version: PlanItemVersion, **kwargs: Any) -> None:
        self.version = version
        super().__init__(*args, initial=self._as_it_is(version), **kwargs)

    @staticmethod
    def _as_it_is(version: PlanItemVersion) -> dict[str, Any]:
        same = {name: getattr(version, name) for name in LABELS if name != "emergency"}
        return {**same, "seen_version": version.number}

    def content(self) -> ItemContent:
        return self._content(self.version.item.kind, self.version.target)

    def see(self, version: PlanItemVersion) -> None:
        """Saving once more is then a change of this version, made on purpose."""
        data = cast(QueryDict, self.data).copy()  # a request's own data cannot be changed
        data["seen_version"] = str(version.number)
        self.data = data


ASKING = [
    (Agreement.Decision.ASK.value, "Ask for a change"),
    (Agreement.Decision.DECLINE.value, "Decline"),
]
ENDS = {
    PlanItem.Status.DONE.value: "It is done",
    PlanItem.Status.WITHDRAWN.value: "It is withdrawn",
}


class DecideForm(forms.Form):
    """One's own word on exactly what was shown."""

    seen_hash = forms.CharField(widget=forms.HiddenInput, max_length=64)
    decision = forms.ChoiceField(
        label="Your answer",
        choices=[(Agreement.Decision.AGREE.value, "Agree"), *ASKING],
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose: ask for a change, or decline.",
            "invalid_choice": "Choose: agree, ask for a change, or decline.",
        },
    )
    reason = SafeTextField(
        label="Why",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What would make it right. The whole team reads it.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # Agreeing has a button of its own: one tap, nothing to fill in.
        decision = self.fields["decision"]
        assert isinstance(decision, forms.ChoiceField)
        decision.widget.choices = ASKING


class ReplyForm(KeyedForm):
    """Words for somebody who declined or asked for a change."""

    words = SafeTextField(
        label="Your reply",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="It agrees to nothing. Who asked is asked once more. The whole team reads it.",
    )


class FinishForm(VersionedForm):
    """An item's end. `ends` are those that this person may choose."""

    status = forms.ChoiceField(
        label="How does it end?",
        choices=list(ENDS.items()),
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose how it ends.",
            "invalid_choice": "Choose done or withdrawn.",
        },
    )
    reason = SafeCharField(
        label="In a few words",
        required=False,
        max_length=300,
        help_text="Needed to withdraw it. The whole team reads it.",
    )

    def __init__(self, *args: Any, ends: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        status = self.fields["status"]
        assert isinstance(status, forms.ChoiceField)
        status.widget.choices = [(end, ENDS[end]) for end in ends]
