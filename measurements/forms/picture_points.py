"""What a person placed on a picture and said beside it."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from horses.forms.keyed import KeyedForm
from measurements.hoof.pictures.homography import in_order
from measurements.hoof.pictures.measured import Point
from measurements.hoof.points import CARD_CORNERS, ViewAsked
from measurements.models import ShoeThen

USUAL_CARD_MM = Decimal(60)
SHOE = (("", "not said, or barefoot"), *ShoeThen.choices)
IN_LINE, NEARER, FURTHER = "", "nearer", "further"
STOOD = (
    (IN_LINE, "in line with the middle of the foot"),
    (NEARER, "nearer to the camera"),
    (FURTHER, "further away"),
)
MOST_OFF_MM = 200  # house default: from here on it does not stand beside the foot
ALL_CORNERS = "Place all four corners of the card, or none of them."


def points_read(data: Mapping[str, Any], asked: ViewAsked) -> dict[str, Point]:
    """The points among what was sent, by name; what is no pair of numbers is left out."""
    return _places(data, asked.names)


def corners_read(data: Mapping[str, Any], asked: ViewAsked) -> dict[str, Point]:
    """The same of the card's corners."""
    return _places(data, [c.name for c in CARD_CORNERS]) if asked.takes_card else {}


def four_corners(placed: Mapping[str, Point]) -> tuple[Point, ...] | None:
    """The card's square as it was tapped, clockwise; None while a corner is wanting."""
    return tuple(in_order(list(placed.values()))) if len(placed) == len(CARD_CORNERS) else None


def _places(data: Mapping[str, Any], names: Iterable[str]) -> dict[str, Point]:
    found = {}
    for name in names:
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
    card_stood = forms.ChoiceField(
        label="The card stood", choices=STOOD, required=False, widget=forms.RadioSelect
    )
    card_off_mm = MmField(
        label="By how much, mm",
        min_value=0,
        max_value=MOST_OFF_MM,
        help_text="No picture shows it: 40 mm make a length about 5 % wrong, and no angle.",
        error_messages={"invalid": "A number in mm, such as 40."},
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
            for name in ("card_mm", "card_stood", "card_off_mm"):
                del self.fields[name]
        if not asked.needs_marker:
            del self.fields["marker_mm"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        off, stood = data.get("card_off_mm"), data.get("card_stood")
        if off and not stood and "card_stood" not in self.errors:
            self.add_error("card_stood", "Nearer to the camera than the foot, or further away?")
        if stood and not off and "card_off_mm" not in self.errors:
            self.add_error("card_off_mm", "By how much, about? Or say that it stood in line.")
        return data

    @property
    def card_nearer_mm(self) -> Decimal | None:
        """Below zero: further away than the middle of the foot."""
        off: Decimal | None = self.cleaned_data.get("card_off_mm")
        if not off:
            return None
        return off if self.cleaned_data.get("card_stood") == NEARER else -off

    @property
    def card_open(self) -> bool:
        """Whether the folded part about the card stands open: something in it is said or wrong."""
        names = {"card_mm", "card_stood", "card_off_mm"}
        return bool(names & set(self.errors)) or bool(self.data.get("card_off_mm"))

    @property
    def card_size(self) -> Decimal | None:
        return self.cleaned_data.get("card_mm") or USUAL_CARD_MM


class PointsForm(SizeForm, KeyedForm):
    """The points of one picture. `points` is ready when the form is valid."""

    shoe_then = forms.ChoiceField(
        label="Was the foot shod then?", choices=SHOE, required=False, widget=forms.RadioSelect
    )

    def __init__(self, data: QueryDict | None, *, asked: ViewAsked, **kwargs: Any) -> None:
        super().__init__(data, asked=asked, **kwargs)
        if not asked.of_one_foot:
            del self.fields["shoe_then"]
        self.asked = asked
        self.points = points_read(data or {}, asked)
        self.corners = corners_read(data or {}, asked)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if self.corners and four_corners(self.corners) is None:
            raise forms.ValidationError(ALL_CORNERS)
        return data
