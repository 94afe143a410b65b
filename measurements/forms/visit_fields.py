"""The fields of a visit's form: which values it has, and what is asked of each foot's work."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeCharField
from horses.models import Shoeing
from measurements.forms.values import Cell, ValuesForm
from measurements.forms.visit_shoe import shoe_fields
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES
from measurements.models.visit_setup import LONGEST_NAME
from measurements.panels.visit_set import FEET, MOMENTS, Row, VisitSet, rows_named

EXTRA = "extra"  # the hidden field with the rows that were asked for by name
MOST_EXTRA = 1000  # characters of it


def shoe_then_name(moment: str) -> str:
    return f"shoe_then-{moment}"


def method_name(quantity: str) -> str:
    return f"method-{quantity}"


def work_fields(foot: str, words: str, known: str) -> dict[str, forms.Field]:
    """What was done on one foot. `known`: how it was shod before, "" where nobody has said."""
    as_was = f"as before: {Shoeing(known).label}" if known else "as the shoe work says"
    return {
        f"{foot}-trimmed": forms.BooleanField(
            label=words.capitalize(), required=False, initial=True
        ),
        **shoe_fields(foot, words),
        f"{foot}-left": forms.ChoiceField(
            label=f"Left as, {words}",
            required=False,
            choices=[("", as_was), *Shoeing.choices],
        ),
        f"{foot}-words": SafeCharField(
            label=f"About this foot, {words}",
            required=False,
            max_length=500,
            widget=forms.TextInput(attrs={"placeholder": "crack, thrush, what you changed"}),
        ),
        f"{foot}-keep_as": SafeCharField(
            label=f"Keep this shoe among my own as, {words}",
            required=False,
            max_length=LONGEST_NAME,
            widget=forms.TextInput(attrs={"placeholder": "a name of yours for it"}),
        ),
    }


def cells_of(rows: Iterable[Row], sent: Mapping[str, Any]) -> list[Cell]:
    """One for each value of the rows, and for each that was sent, foot by foot."""
    shown = {(foot, row.moment, row.quantity) for row in rows for foot in row.feet}
    every = (Cell(f, q, m) for f in FEET for m in MOMENTS for q in QUANTITIES if _on(f, q))
    return [
        cell
        for cell in every
        if (cell.foot, cell.moment, cell.quantity) in shown or sent.get(cell.name)
    ]


def cells_by_place(form: ValuesForm) -> dict[tuple[str, str, str], Cell]:
    return {(cell.foot, cell.moment, cell.quantity): cell for cell in form.cells}


def extra_rows(offered: VisitSet, sent: Mapping[str, Any]) -> list[Row]:
    """Of what is not offered at first, the rows that were asked for or hold a value."""
    asked = str(sent.get(EXTRA) or "").split()
    others = (*offered.lately, *offered.rest)
    held = [
        row.key
        for row in others
        for foot in row.feet
        if sent.get(f"{foot}-{row.key}") or sent.get(method_name(row.quantity))
    ]
    return rows_named([*asked, *held], others)


def _on(foot: str, quantity: str) -> bool:
    return Foot(foot) in QUANTITIES[quantity].feet
