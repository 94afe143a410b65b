"""Readings without a visit, and the correction of one."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any, cast

from django import forms

from caseboard.lib.text_safe import SafeCharField
from horses.domain.agreement import side_of
from horses.forms.pictures import PictureFields
from horses.models import Role, Shoeing
from measurements.forms.from_points import as_it_was, is_of_no_points
from measurements.forms.values import (
    Cell,
    PastDayField,
    ValuesForm,
    method_field,
    shoe_then_field,
)
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Method, TrimState
from measurements.hoof.units import Unit, format_entered
from measurements.models import Reading
from measurements.queries.numbers import Numbers
from measurements.services.readings import Taken

FEET = tuple(foot.value for foot in Foot)
# What each role measures with, the usual way first. House default.
ANGLE_METHODS = {
    Role.OWNER: (Method.OWNER, Method.PHOTO, Method.GAUGE),
    Role.FARRIER: (Method.GAUGE, Method.PHOTO, Method.RADIOGRAPH),
    Role.VET: (Method.RADIOGRAPH, Method.GAUGE, Method.PHOTO),
}
LENGTH_METHODS = {
    Role.OWNER: (Method.OWNER, Method.TAPE, Method.PHOTO),
    Role.FARRIER: (Method.TAPE, Method.GAUGE, Method.PHOTO),
    Role.VET: (Method.RADIOGRAPH, Method.TAPE, Method.PHOTO),
}
NOT_THE_PICTURES = "A value typed anew is no longer the picture's. Say how it was measured, or place the points again."
WHEN = (
    (TrimState.BETWEEN.value, "Between visits: no trim that day"),
    (TrimState.BEFORE.value, "Before the trim that day"),
    (TrimState.AFTER.value, "After the trim that day"),
)


class ReadingsForm(PictureFields, ValuesForm):
    """Values of one day, with pictures of it. `readings` is ready when the form is valid."""

    def __init__(
        self,
        *args: Any,
        numbers: Numbers,
        quantities: Sequence[str],
        role: Role,
        today: date,
        **kwargs: Any,
    ) -> None:
        cells = [Cell(f, q) for f in FEET for q in quantities if Foot(f) in QUANTITIES[q].feet]
        super().__init__(*args, cells=cells, **kwargs)
        self.offer_views(role)
        self.numbers, self.today = numbers, today
        self.readings: list[Taken] = []
        side = Role(side_of(role))  # a carer who runs the yard measures as an owner does
        angle, length = ANGLE_METHODS[side], LENGTH_METHODS[side]
        self.fields |= {
            "taken_on": PastDayField(label="Day", initial=today, today=today),
            "trim_state": forms.ChoiceField(
                label="When",
                choices=WHEN,
                initial=TrimState.BETWEEN.value,
                widget=forms.RadioSelect,
                error_messages={"required": "Was it before or after a trim, or between visits?"},
            ),
            "angle_method": method_field("Angles with", angle[0], angle),
            "length_method": method_field("Lengths with", length[0], length),
            "shoe_then": shoe_then_field("Shod feet, measured with the"),
        }
        if not numbers.shoeing:
            self.fields["shoeing"] = forms.ChoiceField(
                label="The feet are",
                required=False,
                choices=[("", "not sure"), *Shoeing.choices],
            )

    def clean(self) -> dict[str, Any]:
        super().clean()
        filled, state = self.filled(), self.cleaned_data.get("trim_state")
        day = self.cleaned_data.get("taken_on")
        for cell, entered in filled:
            taken = self.take(
                cell,
                entered,
                method=self._method(cell),
                trim_state=state or TrimState.BETWEEN.value,
                shoeing=self._shoeing(cell.foot, day, state or TrimState.BETWEEN.value),
                shoe_then=self.cleaned_data.get("shoe_then") or "",
            )
            if taken is not None and (
                day is None
                or self.is_meant(cell, taken, self.numbers, day, typed=[], today=self.today)
            ):
                self.readings.append(taken)
        if not filled and not self.errors:
            self.add_error(None, "Write down at least one value.")
        self.ask_to_choose_again()
        return self.cleaned_data

    def _method(self, cell: Cell) -> str:
        """The chosen method where it fits this quantity, else the usual one for it."""
        of_page = "angle_method" if cell.of.is_angle else "length_method"
        chosen = self.cleaned_data.get(of_page)
        if chosen and Method(chosen) in cell.of.typed_methods:
            return str(chosen)
        return cell.of.typed_methods[0].value

    def _shoeing(self, foot: str, day: date | None, trim_state: str) -> str:
        if day is not None and self.numbers.shoeing.get(foot):
            return self.numbers.shoeing_on(foot, day, trim_state)
        return self.cleaned_data.get("shoeing") or ""


def as_entered(reading: Reading) -> str:
    """The value in the unit it was entered in, so that an untouched field changes nothing."""
    return format_entered(Decimal(reading.entered_value), cast(Unit, reading.entered_unit))


class CorrectionForm(ValuesForm):
    """Another value in the place of a reading, or none. `taken` is None to take it off."""

    VALUE, OFF = "value", "off"

    def __init__(
        self, *args: Any, reading: Reading, numbers: Numbers, today: date, **kwargs: Any
    ) -> None:
        """`numbers`: the horse's, as they stand; the value is compared with those before it."""
        self.cell = Cell(reading.foot, reading.quantity)
        super().__init__(*args, cells=[self.cell], **kwargs)
        self.reading, self.today = reading, today
        self.numbers = numbers.before(reading)
        self.taken: Taken | None = None
        self.initial.setdefault(self.cell.name, as_entered(reading))
        of = QUANTITIES[reading.quantity]
        self.fields |= {
            "what": forms.ChoiceField(
                label="What is right",
                choices=[
                    (self.VALUE, "Another value, method or moment"),
                    (self.OFF, "Take it off: wrong horse or wrong foot"),
                ],
                initial=self.VALUE,
                widget=forms.RadioSelect,
                error_messages={"required": "Another value, or take it off?"},
            ),
            # A picture's own stays while its value does.
            "method": method_field(
                "Measured with",
                reading.method,
                [m for m in of.methods if m in of.typed_methods or m == reading.method],
            ),
            "trim_state": forms.ChoiceField(
                label="When",
                initial=reading.trim_state,
                choices=[(state.value, state.label) for state in TrimState],
            ),
            "shoe_then": shoe_then_field("A shod foot, with the", reading.shoe_then),
            "reason": SafeCharField(
                label="Why",
                max_length=300,
                help_text="Stays beside the old value, which is struck through and kept.",
                error_messages={"required": "Say why it is corrected."},
            ),
        }

    def clean(self) -> dict[str, Any]:
        super().clean()
        if self.cleaned_data.get("what") == self.OFF:
            self.errors.pop(self.cell.name, None)  # a value is not wanted then
            return self.cleaned_data
        entered = self.cleaned_data.get(self.cell.name)
        if entered is None:
            if self.cell.name not in self.errors:
                self.add_error(self.cell.name, "Which value is right?")
            return self.cleaned_data
        self.taken = self.take(
            self.cell,
            entered,
            method=self.cleaned_data.get("method") or self.reading.method,
            trim_state=self.cleaned_data.get("trim_state") or self.reading.trim_state,
            shoeing=self.reading.shoeing,
            shoe_then=self.cleaned_data.get("shoe_then") or "",
        )
        if self.taken is not None:
            self.taken = as_it_was(self.taken, self.reading)
        if self.taken is not None and is_of_no_points(self.taken):
            self.add_error("method", NOT_THE_PICTURES)
            self.taken = None
        if self.taken is not None and self._is_as_before(self.taken):
            self.add_error(self.cell.name, "This is what stands now: nothing would be corrected.")
        elif self.taken is not None and self.taken.value != self.reading.value:
            # As it was, it was asked about when it was typed.
            self.is_meant(
                self.cell,
                self.taken,
                self.numbers,
                self.reading.taken_on,
                typed=[],
                today=self.today,
            )
        return self.cleaned_data

    def _is_as_before(self, taken: Taken) -> bool:
        old = self.reading
        said = (taken.value, taken.method, taken.trim_state, taken.shoe_then)
        stands = (old.value, old.method, old.trim_state, old.shoe_then)
        return not old.is_void and said == stands
