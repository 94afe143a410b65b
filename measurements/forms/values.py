"""Fields for measured values: typed freely, read exactly, questioned when they are unusual."""

from collections.abc import Iterable
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from functools import cache, cached_property
from typing import Any, cast

from django import forms
from django.forms.utils import ErrorList

from horses.forms.day_limits import day_within
from horses.forms.days import DayField
from horses.forms.keyed import KeyedForm
from horses.services.deed import DeedRefused
from measurements.forms.jump_asked import jump_question
from measurements.hoof.errors import HoofError
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import (
    QUANTITIES,
    Method,
    Quantity,
    RangeCheck,
    Shoeing,
    TrimState,
    range_check,
)
from measurements.hoof.units import MM_PER_IN, Entered, Unit, parse_value
from measurements.models import EnteredHow, ShoeThen
from measurements.panels.offered import foot_words, unit_symbol
from measurements.queries.numbers import Numbers
from measurements.services.readings import Taken, value_check
from measurements.wording import shown_unit

# One tap of plus or minus, in the unit shown: about what a gauge or a tape tells apart, and a value
# is 1.6 of them from the last one (measured on the invented riding school). House default.
STEPS = {"deg": "0.5", "mm": "1", "cm": "0.1", "in": "0.0625"}
BLIND = "blind"  # the hidden field that says that last values were not shown
SURE = "I measured again: this is right"
# Nobody keeps records of a living horse from before; catches a slip in the year. House default.
EARLIEST_DAY = date(1990, 1, 1)


class MeasureField(forms.CharField):
    """One measurement. Cleans to what was entered, or None when the field was left empty."""

    def __init__(self, *, unit: str, **kwargs: Any) -> None:
        # A keypad of digits; inches are often fractions, and its slash is not on that keypad.
        mode = "text" if unit == "in" else "decimal"
        attrs = {"inputmode": mode, "autocomplete": "off", "enterkeyhint": "next"}
        kwargs.setdefault("required", False)
        super().__init__(widget=forms.TextInput(attrs=attrs), **kwargs)
        self.unit = cast(Unit, unit)

    def to_python(self, value: Any) -> Entered | None:  # type: ignore[override]
        text = super().to_python(value)
        if not text:
            return None
        try:
            return parse_value(text, self.unit)
        except HoofError as error:
            raise forms.ValidationError(str(error)) from None


@cache
def _measure_field(unit: str) -> MeasureField:
    """One for all cells of a unit to copy, as Django copies those of a class: making one costs more."""
    return MeasureField(unit=unit)


@cache
def _sure_field() -> forms.BooleanField:
    return forms.BooleanField(required=False, label=SURE)


class PastDayField(DayField):
    """A day that has been: not to come, and not from before any horse living now."""

    def __init__(self, *, today: date, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.error_messages["required"] = "Which day was it?"
        self.widget.attrs |= {"max": today.isoformat(), "min": EARLIEST_DAY.isoformat()}
        self.today = today

    def clean(self, value: Any) -> date | None:
        day = cast(date | None, super().clean(value))
        return day_within(
            day,
            first=EARLIEST_DAY,
            last=self.today,
            early="That is long ago. Look at the year.",
            late="This day is still to come.",
        )


@dataclass(frozen=True)
class Cell:
    """One field of a form: a quantity of a foot, and the moment where the form has several."""

    foot: str
    quantity: str
    moment: str = ""

    @property
    def name(self) -> str:
        return "-".join(filter(None, (self.foot, self.quantity, self.moment)))

    @property
    def sure_name(self) -> str:
        return f"{self.name}-sure"

    @property
    def how_name(self) -> str:
        return f"{self.name}-how"

    @property
    def of(self) -> Quantity:
        return QUANTITIES[self.quantity]

    @property
    def label(self) -> str:
        return self.of.label_on(Foot(self.foot))

    def words(self, side_words: str) -> str:
        """ "Left fore toe angle before the trim"."""
        moment = f" {TrimState(self.moment).label}" if self.moment else ""
        return f"{foot_words(self.foot, side_words)} {self.label}{moment}".capitalize()


class ValuesForm(KeyedForm):
    """A form with many values to fill in, of which any may be left empty."""

    takes_points = False  # whether values may come into it from the points on a picture

    def __init__(
        self,
        *args: Any,
        cells: Iterable[Cell],
        length_unit: str,
        side_words: str = "left_right",
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.cells = tuple(cells)
        self.length_unit = length_unit
        self.unusual: set[str] = set()
        for cell in self.cells:
            unit = shown_unit(cell.quantity, length_unit)
            field = deepcopy(_measure_field(unit))
            field.label = cell.words(side_words)
            self.fields[cell.name] = field
            # Only asked about a value that was sent, or that was confirmed when it was taken.
            if self.is_bound or self.initial.get(cell.sure_name):
                self.fields[cell.sure_name] = deepcopy(_sure_field())

    def how_entered(self, cell: Cell) -> str:
        """How the value came into its field, as the page says; anything unknown was typed."""
        how = self.data.get(cell.how_name) if self.is_bound else self.initial.get(cell.how_name)
        if how == EnteredHow.PICTURE and not self.takes_points:
            return ""
        return str(how) if how in EnteredHow.values else ""

    @property
    def is_blind(self) -> bool:
        """Whether the last values were kept from sight; said by the page that was filled in."""
        return bool(self.data.get(BLIND))

    def filled(self) -> list[tuple[Cell, Entered]]:
        """The cells that hold a readable value, in the order of the form."""
        found = ((cell, self.cleaned_data.get(cell.name)) for cell in self.cells)
        return [(cell, entered) for cell, entered in found if entered is not None]

    def take(
        self,
        cell: Cell,
        entered: Entered,
        *,
        method: str,
        trim_state: str,
        shoeing: str,
        shoe_then: str = "",
    ) -> Taken | None:
        """The value as a reading to record; None with an error at the field when it cannot be."""
        looks = range_check(cell.of, float(entered.base))
        sure = bool(self.cleaned_data.get(cell.sure_name))
        if looks is RangeCheck.CONFIRM:
            self.unusual.add(cell.name)
        taken = Taken(
            foot=cell.foot,
            quantity=cell.quantity,
            value=entered.base,
            entered_value=entered.value,
            entered_unit=entered.unit,
            entered_text=entered.text,
            method=method,
            trim_state=trim_state,
            shoeing=shoeing,
            shoe_then="" if shoeing == Shoeing.BAREFOOT else shoe_then,
            confirmed_odd=sure and looks is RangeCheck.CONFIRM,
            entered_how=self.how_entered(cell) or EnteredHow.TYPED.value,
            entered_blind=self.is_blind,
        )
        try:
            value_check(taken)
        except DeedRefused as refused:
            self.add_error(cell.name, f"{refused}{_inches_meant(cell, entered)}")
            return None
        return taken

    def is_meant(
        self,
        cell: Cell,
        taken: Taken,
        numbers: Numbers,
        day: date,
        *,
        typed: list[Taken],
        today: date,
    ) -> bool:
        """Whether a value fits those before it; a gross jump is asked about once, at its field."""
        question = jump_question(
            numbers, taken, day, typed, length_unit=self.length_unit, today=today
        )
        if not question:
            return True
        self.unusual.add(cell.name)  # the box stays in sight once ticked
        if self.cleaned_data.get(cell.sure_name):
            return True
        self.add_error(cell.name, question)
        return False

    def row(self, cell: Cell, last: str | None) -> "ValueRow":
        """What the template shows of one cell; the box to tick only where a value is unusual."""
        asks = cell.name in self.unusual and cell.sure_name in self.fields
        sure = self[cell.sure_name] if asks else None
        return ValueRow(
            cell=cell,
            how=self.how_entered(cell),
            label=cell.label,
            unit=unit_symbol(cell.quantity, self.length_unit),
            last=last,
            field=self[cell.name],
            sure=sure,
        )


def _inches_meant(cell: Cell, entered: Entered) -> str:
    """Says how to write inches, where a bare number would be an ordinary length in them."""
    bare = not any(character.isalpha() for character in entered.text)
    if entered.unit not in ("mm", "cm") or not bare:
        return ""
    in_inches = range_check(cell.of, float(entered.value * MM_PER_IN))
    return f" Inches? Write “{entered.text} in”." if in_inches is RangeCheck.FINE else ""


@dataclass(frozen=True)
class ValueRow:
    """One field as shown: its name, its unit, and the last value of its kind beside it."""

    cell: Cell
    how: str  # how what stands in it was entered
    label: str
    unit: str
    last: str | None  # None: none is to be shown
    field: forms.BoundField
    sure: forms.BoundField | None

    # A template asks for these of a hundred rows, and a field looks them up anew each time.
    @cached_property
    def id(self) -> str:
        return self.field.id_for_label

    @cached_property
    def errors(self) -> ErrorList:
        return self.field.errors

    @property
    def step(self) -> str:
        """What one tap of plus or minus adds, in the unit shown."""
        return STEPS[cast(MeasureField, self.field.field).unit]

    @property
    def last_number(self) -> str:
        """The last value alone, as it is stepped from: "48.6"."""
        return (self.last or "").partition(",")[0].partition(" ")[0].removesuffix("°")

    @property
    def last_words(self) -> str:
        """Where one is to be shown."""
        if self.last is None:
            return ""
        return f"was {self.last}" if self.last else "no value yet"


def shoe_then_field(label: str, initial: str = "") -> forms.ChoiceField:
    """Whether the shoe was on: 8 mm of it are about 10 mm of toe length (see how_measured.py)."""
    return forms.ChoiceField(
        label=label,
        required=False,
        choices=[("", "not said"), *ShoeThen.choices],
        initial=initial,
        error_messages={"invalid_choice": "Shoe on or shoe off?"},
    )


def method_field(label: str, initial: str, offered: Iterable[Method]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        initial=initial,
        choices=[(method.value, method.label) for method in offered],
        error_messages={"invalid_choice": "Choose one of the ways in the list."},
    )
