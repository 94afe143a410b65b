"""How fast a foot is brought to its band, and the proposal of it."""

from decimal import Decimal
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeTextField
from horses.forms.keyed import KeyedForm
from measurements.forms.values import MeasureField
from measurements.hoof.mechanics import BASE_LENGTH_RANGE_MM, PREFERRED_CHANGE_PER_VISIT_DEG
from measurements.hoof.steps import LARGEST_STEP_DEG
from measurements.panels.steps_plan import LENGTH_TO_BEGIN_WITH_MM, length_words

SMALLEST_STEP_DEG = Decimal("0.1")  # house default: no gauge shows less


def usual_pace(length_unit: str) -> dict[str, str]:
    """What the fields begin with, in the reader's unit."""
    length = length_words(LENGTH_TO_BEGIN_WITH_MM, length_unit).removesuffix(f" {length_unit}")
    return {"change": f"{PREFERRED_CHANGE_PER_VISIT_DEG:g}", "length": length.removesuffix(".0")}


class PaceForm(forms.Form):
    """The most change at one visit, and the length of the hoof where it was not measured."""

    def __init__(
        self, *args: Any, length_unit: str, measured_mm: Decimal | None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.length_unit, self.measured_mm = length_unit, measured_mm
        self.fields["change"] = MeasureField(
            label="At most at one visit",
            unit="deg",
            required=True,
            initial=usual_pace(length_unit)["change"],
            error_messages={"required": "How many degrees at most?"},
        )
        if measured_mm is None:
            self.fields["length"] = MeasureField(
                label="Length of the hoof on the ground",
                unit=length_unit,
                required=True,
                initial=usual_pace(length_unit)["length"],
                error_messages={"required": "About how long is the hoof on the ground?"},
            )

    def clean_change(self) -> Any:
        entered = self.cleaned_data["change"]
        if not SMALLEST_STEP_DEG <= entered.base <= LARGEST_STEP_DEG:
            raise forms.ValidationError(
                f"A change at one visit is {SMALLEST_STEP_DEG} to {LARGEST_STEP_DEG:g}°."
            )
        return entered

    def clean_length(self) -> Any:
        entered = self.cleaned_data["length"]
        least, most = BASE_LENGTH_RANGE_MM
        if not least <= entered.base <= most:
            ends = [length_words(Decimal(end), self.length_unit) for end in (least, most)]
            raise forms.ValidationError(
                f"A hoof is {ends[0]} to {ends[1]} long on the ground. Look at the unit."
            )
        return entered

    @property
    def change_deg(self) -> float:
        """The pace asked for, the usual one before anybody asked."""
        if not self.is_bound:
            return PREFERRED_CHANGE_PER_VISIT_DEG
        return float(self.cleaned_data["change"].base)

    @property
    def length_mm(self) -> float:
        if self.measured_mm is not None:
            return float(self.measured_mm)
        if not self.is_bound:
            return float(LENGTH_TO_BEGIN_WITH_MM)
        return float(self.cleaned_data["length"].base)


class ProposalForm(KeyedForm):
    """The steps that were seen, and why they are proposed."""

    seen = forms.CharField(widget=forms.HiddenInput, max_length=120, required=False)
    reason = SafeTextField(
        label="Why",
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="The others agree to the reason as well. The whole team reads it.",
        error_messages={"required": "Say why: the others agree to the reason as well."},
    )

    def show(self, seen: str) -> None:
        """The steps that the page shows now: a second sending is about those."""
        self.initial["seen"] = seen
        if self.is_bound:
            data = self.data.copy()  # type: ignore[attr-defined]
            data[self.add_prefix("seen")] = seen
            self.data = data
