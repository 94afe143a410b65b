"""Values of a picture that somebody measured on it in another way, and types."""

from datetime import date
from typing import Any

from django import forms

from horses.models import Picture
from measurements.forms.readings import WHEN
from measurements.forms.values import Cell, ValueRow, ValuesForm
from measurements.hoof.feet import Foot
from measurements.hoof.points import READING_OF, ViewAsked
from measurements.hoof.quantities import QUANTITIES, Method
from measurements.queries.numbers import Numbers
from measurements.services.readings import Taken


def typed_cells(picture: Picture, asked: ViewAsked) -> list[Cell]:
    """What of this view is followed from visit to visit; nothing on a picture of no one foot."""
    if not picture.foot:
        return []
    keys = [READING_OF[key] for key in asked.values if key in READING_OF]
    return [Cell(picture.foot, k) for k in keys if Foot(picture.foot) in QUANTITIES[k].feet]


class PictureTypedForm(ValuesForm):
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
        picture: Picture,
        asked: ViewAsked,
        numbers: Numbers,
        today: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, cells=typed_cells(picture, asked), **kwargs)
        self.picture, self.numbers, self.today = picture, numbers, today
        self.method = Method.RADIOGRAPH if asked.by_vets_only else Method.PHOTO
        self.readings: list[Taken] = []

    def clean(self) -> dict[str, Any]:
        super().clean()
        state, on = self.cleaned_data.get("trim_state"), self.picture.taken_on
        filled = self.filled()
        for cell, entered in filled if state else ():
            known = self.numbers.shoeing.get(cell.foot)
            shoeing = self.numbers.shoeing_on(cell.foot, on, str(state)) if known else ""
            taken = self.take(
                cell, entered, method=self.method.value, trim_state=str(state), shoeing=shoeing
            )
            if taken is not None and self.is_meant(
                cell, taken, self.numbers, on, typed=self.readings, today=self.today
            ):
                self.readings.append(taken)
        if not filled and not self.errors:
            raise forms.ValidationError("Write down at least one value.")
        return self.cleaned_data

    def rows(self) -> list[ValueRow]:
        return [self.row(cell, None) for cell in self.cells]
