"""Which values of placed points become readings, and of which moment they are."""

from datetime import date
from typing import Any

from django import forms

from horses.forms.keyed import KeyedForm
from horses.services.deed import DeedRefused
from measurements.forms.jump_asked import jump_question
from measurements.forms.readings import WHEN
from measurements.forms.values import SURE
from measurements.hoof.pictures.measured import Measured
from measurements.hoof.points import READING_OF, value_label
from measurements.hoof.quantities import QUANTITIES, RangeCheck, range_check
from measurements.models import PicturePoints
from measurements.queries.numbers import Numbers
from measurements.services.points_readings import taken_from
from measurements.services.readings import Taken, taken_check


class PointsReadingsForm(KeyedForm):
    """`readings` is ready when the form is valid."""

    trim_state = forms.ChoiceField(
        label="When was the picture taken",
        choices=WHEN,
        widget=forms.RadioSelect,
        error_messages={"required": "Was it before or after a trim, or between visits?"},
    )

    def __init__(
        self,
        *args: Any,
        row: PicturePoints,
        found: dict[str, Measured],
        numbers: Numbers,
        length_unit: str,
        today: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.row, self.found, self.numbers = row, found, numbers
        self.length_unit, self.today = length_unit, today
        self.readings: list[Taken] = []
        self.fields["take"] = forms.MultipleChoiceField(
            label="Write down",
            choices=[(key, value_label(key)) for key in found],
            initial=list(found),
            widget=forms.CheckboxSelectMultiple,
            error_messages={"required": "Choose at least one value."},
        )
        self.fields["sure"] = forms.BooleanField(label=SURE, required=False)
        self.asks = False  # whether the box of an unusual value is to be shown

    def clean(self) -> dict[str, Any]:
        super().clean()
        state = self.cleaned_data.get("trim_state")
        for key in self.cleaned_data.get("take") or () if state else ():
            taken = self._taken(key, str(state))
            if taken is not None:
                self.readings.append(taken)
        return self.cleaned_data

    def _taken(self, key: str, state: str) -> Taken | None:
        row, sure = self.row, bool(self.cleaned_data.get("sure"))
        of, found = QUANTITIES[READING_OF[key]], self.found[key]
        unusual = range_check(of, found.value) is RangeCheck.CONFIRM
        on = row.picture.taken_on
        shoeing = self.numbers.shoeing_on(row.picture.foot, on, state)
        taken = taken_from(
            row,
            key,
            found,
            trim_state=state,
            shoeing=shoeing if self.numbers.shoeing.get(row.picture.foot) else "",
            sure=sure and unusual,
        )
        self.asks = self.asks or unusual
        try:
            taken_check(taken)
        except DeedRefused as refused:
            self.add_error("take", str(refused))
            return None
        question = jump_question(
            self.numbers,
            taken,
            on,
            [],
            length_unit=self.length_unit,
            today=self.today,
        )
        self.asks = self.asks or bool(question)
        if question and not sure:
            self.add_error("take", question)
            return None
        return taken
