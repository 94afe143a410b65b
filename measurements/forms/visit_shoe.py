"""The shoe of one foot in the visit's form: what it is, how it wore, and "as last time".

Decided 2026-11: "as last time" fills in the shoe; the button itself asks whether it is new or set
again.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeCharField
from horses.models import FootWork
from measurements.forms.values import MeasureField

MOST_NAILS = 10  # house default: a shoe has six to ten holes
GLUED = "0"
ALL_FEET = "all"
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
            widget=forms.RadioSelect,
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


# The same shoe again is either set again or a new one of its kind: the button asks which.
AGAIN_AS = {FootWork.Shoe.RESET.value: "reset", FootWork.Shoe.NEW.value: "new shoe"}
BARE = "bare"


def last_values(work: FootWork, shoe: str) -> dict[str, str]:
    """What "as last time" writes into the fields of this foot: the shoe of then, new or set again."""
    values = {name: getattr(work, name) for name in AS_LAST if name != "wedge"} | {"shoe": shoe}
    values["wedge"] = None if work.wedge_deg is None else f"{work.wedge_deg:g}"
    return {name: "" if value is None else str(value) for name, value in values.items()}


def bare_values() -> dict[str, str]:
    """What "barefoot all round" writes into the fields of a foot."""
    return dict.fromkeys(DETAILS, "") | {"shoe": "none", "left": "barefoot"}


def filled_in(asked: str, last: Mapping[str, FootWork], feet: Iterable[str]) -> dict[str, str]:
    """The fields that a button fills in, by name. `asked`: "LF-reset", "all-new" or "bare"."""
    if asked == BARE:
        return {f"{foot}-{name}": v for foot in feet for name, v in bare_values().items()}
    which, _, shoe = asked.partition("-")
    if shoe not in AGAIN_AS:
        return {}
    return {
        f"{foot}-{name}": value
        for foot in feet
        if foot in last and which in (foot, ALL_FEET)
        for name, value in last_values(last[foot], shoe).items()
    }


@dataclass(frozen=True)
class FillButton:
    """A button that fills in fields: by script from `fields`, else by sending `asked`."""

    asked: str
    words: str
    fields: str  # JSON
    is_pressed: bool = False

    @property
    def told(self) -> str:
        """Beside the button once it was pressed: what changed may be out of sight."""
        one_foot = self.asked.partition("-")[0] not in (ALL_FEET, BARE)
        return "Filled in." if one_foot else "Filled in below, foot by foot."


def bare_button(last: Mapping[str, FootWork], feet: Iterable[str], *, pressed: str) -> FillButton:
    fields = json.dumps(filled_in(BARE, last, feet))
    return FillButton(BARE, "Barefoot all round", fields, pressed == BARE)


def again_buttons(
    which: str, last: Mapping[str, FootWork], feet: Iterable[str], *, pressed: str = ""
) -> list[FillButton]:
    """The shoe of last time, set again or new; none where no shoe is known. `pressed`: what the
    button asked with which the form was sent, without scripts."""
    found = []
    for shoe, words in AGAIN_AS.items():
        asked = f"{which}-{shoe}"
        if fields := filled_in(asked, last, feet):
            found.append(FillButton(asked, words, json.dumps(fields), pressed == asked))
    return found


def last_words(work: FootWork) -> str:
    """ "plain steel, size 5": what the button stands for."""
    return "" if work.shoe == FootWork.Shoe.NONE else work.shoe_line
