"""The shoe of one foot in the visit's form: what it is, and how it wore."""

from collections.abc import Mapping
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeCharField
from horses.models import FootWork, Shoeing
from measurements.forms.values import MeasureField
from measurements.hoof.errors import HoofError
from measurements.hoof.units import parse_value

MOST_NAILS = 10  # house default: a shoe has six to ten holes
GLUED = "0"
# The fields that "as last time" fills in, in the order of the form. "left" and the words about the
# foot are of the day, and wear and landing are what was seen that day.
AS_LAST = (
    "shoe",
    "kind",
    "material",
    "size",
    "pad",
    "wedge",
    "clips",
    "studs",
    "nails",
    "shoe_words",
)
SEEN = ("wear", "landing")
DETAILS = AS_LAST[1:]


def _choice(label: str, choices: Any, empty: str = "not said") -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        required=False,
        choices=[("", empty), *choices],
        error_messages={"invalid_choice": "Choose from the list."},
    )


def shoe_fields(foot: str, words: str) -> dict[str, forms.Field]:
    """The fields of one foot, by the name they are sent under."""
    nails = [(str(n), f"{n} nails") for n in range(4, MOST_NAILS + 1)]
    size = forms.TextInput(attrs={"autocomplete": "off"})
    made: dict[str, forms.Field] = {
        "shoe": forms.ChoiceField(
            label=f"Shoe, {words}",
            choices=FootWork.Shoe.choices,
            initial="none",
            required=False,
        ),
        "kind": _choice("Kind", FootWork.Kind.choices),
        "material": _choice("Material", FootWork.Material.choices),
        "size": SafeCharField(label="Size", required=False, max_length=20, widget=size),
        "pad": _choice("Pad", FootWork.Pad.choices, "none"),
        "wedge": MeasureField(label=f"Wedge, {words}", unit="deg"),
        "clips": _choice("Clips", FootWork.Clips.choices),
        "studs": _choice("Studs", FootWork.Studs.choices),
        "nails": _choice("Nails", [*nails, (GLUED, "glued or cuffed")]),
        "shoe_words": SafeCharField(
            label=f"About the shoe, {words}",
            required=False,
            max_length=200,
            widget=forms.TextInput(attrs={"placeholder": "anything else about it"}),
        ),
        "wear": _choice("Wear of the shoe or toe", FootWork.Wear.choices, "not looked at"),
        "landing": _choice("Lands", FootWork.Landing.choices, "not looked at"),
    }
    return {f"{foot}-{name}": field for name, field in made.items()}


def shoe_cleaned(data: Mapping[str, Any], foot: str) -> dict[str, Any]:
    """The details as the service takes them; the wedge is checked by the form."""
    names = ("kind", "material", "size", "pad", "clips", "studs", *SEEN)
    found: dict[str, Any] = {name: data.get(f"{foot}-{name}") or "" for name in names}
    nails = data.get(f"{foot}-nails")
    found["nails"] = int(nails) if nails else None
    return found


def last_values(work: FootWork, shoe: str) -> dict[str, str]:
    """What "as last" writes into the fields of this foot: the shoe of then, new or set again."""
    values = {name: getattr(work, name) for name in AS_LAST if name != "wedge"} | {"shoe": shoe}
    values["wedge"] = None if work.wedge_deg is None else f"{work.wedge_deg:g}"
    return {name: "" if value is None else str(value) for name, value in values.items()}


def shoe_said(values: Mapping[str, Any]) -> str:
    """ "shoe reset, fullered steel, size 5": what the fields of a foot hold, in words.

    `values`: as they stand in the form, readable or not; what cannot be read is left out.
    """

    def chosen(name: str, among: Any) -> str:
        said = str(values.get(name) or "")
        return said if said in among.values else ""

    shoe = chosen("shoe", FootWork.Shoe) or FootWork.Shoe.NONE.value
    nails = str(values.get("nails") or "")
    try:
        wedge = parse_value(str(values.get("wedge") or ""), "deg").value
    except HoofError:
        wedge = None
    work = FootWork(
        shoe=shoe,
        kind=chosen("kind", FootWork.Kind),
        material=chosen("material", FootWork.Material),
        size=str(values.get("size") or ""),
        pad=chosen("pad", FootWork.Pad),
        clips=chosen("clips", FootWork.Clips),
        studs=chosen("studs", FootWork.Studs),
        nails=int(nails) if nails.isascii() and nails.isdecimal() else None,
        wedge_deg=wedge,
        shoe_words=str(values.get("shoe_words") or ""),
    )
    parts = [work.get_shoe_display() if shoe != FootWork.Shoe.NONE else "", work.shoe_line]
    bare = "barefoot" if values.get("left") == Shoeing.BAREFOOT else ""
    return ", ".join(filter(None, parts)) or bare
