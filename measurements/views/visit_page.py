"""The page of a visit's form: its fields where the template shows them.

Decided 2026-11-29: fronts and hinds are a card each, what a person measures stands open, and each
foot's shoe, wear and words are fields behind a tap. Closed, they are sent along unseen, so that a
form put back from the phone holds them; the script and the server open the same fields.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import Any

from django import forms
from django.forms import BoundField
from django.http import HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.safestring import SafeString

from horses.access import CaseAccess
from horses.accounts.request import SignedInRequest
from horses.domain.wording import day_words
from horses.queries.plan_lines import PlanLine
from measurements.forms.values import STEPS, ValueRow
from measurements.forms.visit_doubts import AGAIN, SHOE_ON, UNTOUCHED
from measurements.forms.visit_fields import (
    cells_by_place,
    method_name,
    shoe_then_name,
    work_fields,
)
from measurements.forms.visit_fill import (
    FEET_OF,
    FILL_BUTTON,
    FRONTS,
    HINDS,
    LIKE,
    FillButton,
    ShoeFills,
)
from measurements.forms.visit_record import VisitSheetForm
from measurements.forms.visit_shoe import AS_LAST, SEEN, shoe_said
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Method, TrimState
from measurements.models import VisitSetup
from measurements.panels import cautions
from measurements.panels.how_measured import how_measured
from measurements.panels.offered import foot_words, last_words, unit_symbol
from measurements.panels.visit_set import FEET, MOMENTS, Row, VisitSet
from measurements.panels.visit_set_words import asked_words
from measurements.queries.dangers import dangers_for, films_short
from measurements.queries.numbers import Numbers
from measurements.wording import shown_unit

OPEN = "open"  # asks for the fields of a pair of feet: "open-fronts"
MORE, LATELY, ADDED = "more", "lately", "added"  # asks for the row chosen in the list of the rest
SHOE, FOUND = (*AS_LAST, "left", "keep_as"), (*SEEN, "words")
NOTHING = "no shoe work yet"
ANY_FOOT = "XX"  # stands for the foot in the fields that the script copies


@dataclass(frozen=True)
class RowPart:
    """One quantity at one moment, left beside right; None for a foot it is not asked for."""

    row: Row
    label: str
    unit: str
    step: str
    aside: str
    values: list[ValueRow | None]
    was: str = "{}"  # JSON: the last values, for the script that makes the row

    @property
    def methods(self) -> str:
        return " ".join(method.value for method in QUANTITIES[self.row.quantity].typed_methods)


@dataclass(frozen=True)
class FootPart:
    foot: str
    words: str
    shoeing: str
    work: dict[str, BoundField]
    said: str  # the shoe, as its fields hold it
    is_open: bool  # its fields stand open
    asks_left: bool  # nobody has said yet how the foot is: not to be hidden in a fold
    dangers: list[str]

    @property
    def is_hind(self) -> bool:
        return self.foot.endswith("H")

    @property
    def unseen(self) -> list[BoundField]:
        """The fields that are sent along where they are not shown."""
        shown = {"left"} if self.asks_left else set()
        return [self.work[name] for name in (*SHOE, *FOUND) if name not in shown]


@dataclass(frozen=True)
class PairPart:
    """The fronts or the hinds: what is measured, and what they wear."""

    which: str
    feet: list[FootPart]
    rows: list[RowPart]
    more: list[RowPart]
    buttons: list[FillButton]
    own: list[FillButton]
    copies: list[FillButton]

    @property
    def is_open(self) -> bool:
        return any(foot.is_open for foot in self.feet)

    @property
    def asks_left(self) -> bool:
        return any(foot.asks_left for foot in self.feet)

    @property
    def title(self) -> str:
        return self.which.capitalize()

    @property
    def said(self) -> str:
        """What both wear; once, where it is the same."""
        left, right = self.feet
        if left.said == right.said:
            return left.said and f"Both: {left.said}"
        return "; ".join(f"{f.words}: {f.said or NOTHING}" for f in self.feet).capitalize()


@dataclass
class VisitPage:
    """`setup`: the person's own; `fills`: what the buttons for shoes fill in; `shown`: what the
    page that corrects a visit, or that leads to the next stop, shows beside."""

    request: SignedInRequest
    access: CaseAccess
    numbers: Numbers
    offered: VisitSet
    form: VisitSheetForm
    fills: ShoeFills
    setup: VisitSetup | None
    plan: Sequence[PlanLine] | None = None
    keep: str = ""
    shown: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.keep = self.keep or f"visit-{self.access.case.public_id}"
        opened = None if self.plan is None else [line for line in self.plan if line.is_open]
        self.dangers = dangers_for(self.access, self.numbers, today=self.form.today, plan=opened)
        self.cells = cells_by_place(self.form)
        self.asked = str(self.request.POST.get(FILL_BUTTON, ""))

    @cached_property
    def is_blind(self) -> bool:
        return bool(self.setup and self.setup.blind)

    def answer(self, status: int) -> HttpResponse:
        form, quantities = self.form, self.offered.quantities(*self.form.extra)
        pairs = [self._pair(FRONTS), self._pair(HINDS)]
        context = {
            "access": self.access,
            "case": self.access.case,
            "horse": self.access.horse,
            "sent_to": self._sent_to(),
            "form": form,
            "pairs": pairs,
            "more_open": bool(form.extra),
            "lately": self._list(self.offered.lately),
            "rest": self._list(self.offered.rest),
            "keep": self.keep,
            "blind": self.is_blind,
            "before_cutting": self._before_cutting(),
            "trimmed": [form[f"{foot}-trimmed"] for foot in FEET],
            "planned": form["planned"] if "planned" in form.fields else None,
            "methods": [form[method_name(key)] for key in quantities],
            "items": form.plan.rows(),
            "how_open": self._how_open(quantities),
            "how_words": self._how_words(),
            "move_box": form.next.move_box,
            "next_on": form["next_on"] if "next_on" in form.fields else None,
            "fills_all": self.fills.of_all(),
            "how": how_measured(quantities),
            "caution": cautions,
            "shoe_then": [form[shoe_then_name(moment)] for moment in MOMENTS],
            "again": form.doubts.shown(AGAIN),
            "doubts": form.doubts.shown(SHOE_ON, UNTOUCHED),
            "mould": _mould(),
            **self.shown,
        }
        return render(self.request, "measurements/visit_new.html", context, status=status)

    def _sent_to(self) -> str:
        """The page itself, with the day of the stops that it leads on from; a correction is of the
        version in force, which may be newer than the one in the address."""
        if correcting := self.shown.get("correcting"):
            return reverse("visit_correct", args=[self.access.case.public_id, correcting.public_id])
        day = self.shown.get("day")
        return self.request.path + (f"?day={day:%Y-%m-%d}" if day else "")

    def _before_cutting(self) -> list[str]:
        """In front of everything: the feet whose films must be known, and what holds for all."""
        films = films_short(self.dangers.films, self.request.user, self.form.today)
        return [*films, *self.dangers.of_all]

    def _how_open(self, quantities: Sequence[str]) -> bool:
        """The day, the feet trimmed and how it was measured: open where one is not as usual."""
        usual = {"angle_method": Method.GAUGE, "length_method": Method.TAPE}
        names = [*usual, "kept_on", *(shoe_then_name(m) for m in MOMENTS)]
        names += [method_name(key) for key in quantities]
        said = [method_name(key) for key in quantities] + [shoe_then_name(m) for m in MOMENTS]
        return (
            any(self.form[name].errors for name in names)
            or any(self.form[name].value() for name in said)
            or any(self.form[name].value() != usual[name] for name in usual)
            or not all(self.form[f"{foot}-trimmed"].value() for foot in FEET)
            or str(self.form["kept_on"].value()) != str(self.form.today)
        )

    def _how_words(self) -> str:
        """What holds as long as nobody opens the fold: it stands open where it does not."""
        return "today, all four, gauge, tape"

    def _pair(self, which: str) -> PairPart:
        feet = FEET_OF[which]
        named = {foot: foot_words(foot, self._sides) for foot in feet}
        copies = [
            self.fills.button(
                to, f"{LIKE}-{of}", f"{named[to].capitalize()}: shoe of the {named[of]}"
            )
            for of, to in (feet, feet[::-1])
        ]
        return PairPart(
            which,
            [self._foot(foot) for foot in feet],
            self._rows(self.offered.own, feet),
            self._rows(self.form.extra, feet),
            self.fills.of_pair(which),
            self.fills.of_own(which),
            [one for one in copies if one is not None],
        )

    @property
    def _sides(self) -> str:
        return self.request.user.side_words

    def _foot(self, foot: str) -> FootPart:
        work = {name: self.form[f"{foot}-{name}"] for name in (*SHOE, *FOUND)}
        pair = next(which for which in (FRONTS, HINDS) if foot in FEET_OF[which])
        return FootPart(
            foot=foot,
            words=foot_words(foot, self._sides),
            shoeing=self._shoeing(foot),
            work=work,
            said=shoe_said({name: field.value() for name, field in work.items()}),
            is_open=self.asked == f"{OPEN}-{pair}" or any(field.errors for field in work.values()),
            asks_left=not self.numbers.shoeing.get(foot),
            dangers=self.dangers.lines_of(foot, self.request.user, self.form.today),
        )

    def _shoeing(self, foot: str) -> str:
        """Said where it is not as it was left: whoever stands before the foot sees the rest."""
        state = self.numbers.shoes.feet.get(foot)
        if state and state.lost_on:
            return f"without its shoe: lost {day_words(state.lost_on)}"
        return ""

    def _rows(self, rows: Sequence[Row], feet: Sequence[str]) -> list[RowPart]:
        return [self._row(row, feet) for row in rows if set(row.feet) & set(feet)]

    def _row(self, row: Row, feet: Sequence[str]) -> RowPart:
        length_unit = self.request.user.length_unit
        label = QUANTITIES[row.quantity].label_on(Foot(feet[0]))
        return RowPart(
            row=row,
            label=f"{label.capitalize()}, {TrimState(row.moment).label}",
            unit=unit_symbol(row.quantity, length_unit),
            step=STEPS[shown_unit(row.quantity, length_unit)],
            aside=asked_words(self.numbers, row, feet, self.request.user) if row.asked else "",
            values=[self._value(row, foot) if foot in row.feet else None for foot in feet],
        )

    def _value(self, row: Row, foot: str) -> ValueRow:
        cell = self.cells[foot, row.moment, row.quantity]
        last = None
        if not self.is_blind:
            newest = self.numbers.latest_before(foot, row.quantity, row.moment)
            last = last_words(newest, self.request.user.length_unit)
        return self.form.row(cell, last)

    def _list(self, rows: Sequence[Row]) -> list[RowPart]:
        return [self._of_list(row) for row in rows if row not in self.form.extra]

    def _of_list(self, row: Row) -> RowPart:
        """A line in the list of what else can be measured."""
        length_unit = self.request.user.length_unit
        return RowPart(
            row=row,
            label=f"{QUANTITIES[row.quantity].label.capitalize()}, {TrimState(row.moment).label}",
            unit=unit_symbol(row.quantity, length_unit),
            step=STEPS[shown_unit(row.quantity, length_unit)],
            aside="",
            values=[],
            was=json.dumps(self._was(row)),
        )

    def _was(self, row: Row) -> dict[str, str]:
        """The last values of a row that is not shown yet, by foot."""
        if self.is_blind:
            return {}
        found = {}
        for foot in row.feet:
            if newest := self.numbers.latest_before(foot, row.quantity, row.moment):
                found[foot] = last_words(newest, self.request.user.length_unit)
        return found


class _AnyFoot(forms.Form):
    """The fields of a foot's work, for the script to copy."""

    def __init__(self) -> None:
        super().__init__()
        made = work_fields(ANY_FOOT, "", "")
        self.fields |= {name: of for name, of in made.items() if name != f"{ANY_FOOT}-trimmed"}


@cache
def _mould() -> SafeString:
    """They are the same on every page: worked out once in a process."""
    form = _AnyFoot()
    work = {name: form[f"{ANY_FOOT}-{name}"] for name in (*SHOE, *FOUND)}
    foot = FootPart(ANY_FOOT, "", "", work, "", True, False, [])
    return render_to_string("measurements/visit_foot.html", {"foot": foot})
