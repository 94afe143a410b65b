"""What a person placed on a picture and said beside it."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from horses.forms.keyed import KeyedForm
from measurements.hoof.pictures.measured import Point
from measurements.hoof.points import ViewAsked
from measurements.models import ShoeThen

USUAL_CARD_MM = Decimal(60)
SHOE = (("", "not said, or barefoot"), *ShoeThen.choices)


def points_read(data: Mapping[str, Any], asked: ViewAsked) -> dict[str, Point]:
    """The points among what was sent, by name; what is no pair of numbers is left out."""
    found = {}
    for name in asked.names:
        place = _place(str(data.get(f"p-{name}", "")))
        if place is not None:
            found[name] = place
    return found


def _place(text: str) -> Point | None:
    parts = text[:40].split(",")
    if len(parts) != 2:
        return None
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        return None
    within = all(-1e5 < part < 1e5 for part in (x, y))  # also refuses what is no number
    return (x, y) if within else None


class MmField(forms.DecimalField):
    """A size in mm, with a comma or a point."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(required=False, decimal_places=2, max_digits=6, widget=widget, **kwargs)

    def to_python(self, value: Any) -> Any:
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


class SizeForm(forms.Form):
    """The sizes of what gives the scale; one that cannot be read is said beside its field."""

    card_mm = MmField(
        label="Side of the printed square, mm",
        min_value=20,
        max_value=300,
        initial=USUAL_CARD_MM,
        help_text="Measure it with a ruler: printers shrink pages.",
        error_messages={"invalid": "A number in mm, such as 60 or 58.5."},
    )
    marker_mm = MmField(
        label="Length of the marker on the film, mm",
        min_value=5,
        max_value=500,
        help_text="The pixel size that a film's file names is the detector's, not the foot's: only the "
        "marker tells the scale.",
        error_messages={"invalid": "A number in mm, such as 50."},
    )

    def __init__(self, *args: Any, asked: ViewAsked, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not asked.takes_card:
            del self.fields["card_mm"]
        if not asked.needs_marker:
            del self.fields["marker_mm"]

    @property
    def card_size(self) -> Decimal | None:
        return self.cleaned_data.get("card_mm") or USUAL_CARD_MM


class PointsForm(SizeForm, KeyedForm):
    """The points of one picture. `points` is ready when the form is valid."""

    shoe_then = forms.ChoiceField(
        label="A shod foot, with the", choices=SHOE, required=False, widget=forms.RadioSelect
    )

    def __init__(self, data: QueryDict | None, *, asked: ViewAsked, **kwargs: Any) -> None:
        super().__init__(data, asked=asked, **kwargs)
        if not asked.of_one_foot:
            del self.fields["shoe_then"]
        self.asked = asked
        self.points = points_read(data or {}, asked)
