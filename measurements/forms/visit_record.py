"""The farrier's visit as one long form: what was found, done and left on each foot."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeCharField, SafeTextField
from horses.models import FootWork, Shoeing, Visit
from horses.queries.plan_lines import PlanLine
from horses.services.visits import ItemOutcome, WorkDone
from measurements.forms.from_points import MOST_SENT, POINTS, points_said, with_own_error
from measurements.forms.outcomes import OutcomeFields
from measurements.forms.values import (
    Cell,
    PastDayField,
    ValuesForm,
    method_field,
    shoe_then_field,
)
from measurements.forms.visit_doubts import Doubts
from measurements.forms.visit_fields import (
    EXTRA,
    MOST_EXTRA,
    cells_of,
    extra_rows,
    method_name,
    shoe_then_name,
    work_fields,
)
from measurements.forms.visit_next import NextOfCorrection, NextVisit
from measurements.forms.visit_shoe import DETAILS, SEEN, shoe_cleaned
from measurements.hoof.quantities import QUANTITIES, Method, TrimState
from measurements.hoof.units import Entered
from measurements.models import PicturePoints
from measurements.panels.offered import foot_words
from measurements.panels.visit_set import FEET, VisitSet
from measurements.queries.numbers import Numbers
from measurements.queries.picture_readings import TWICE, points_trouble
from measurements.services.readings import Taken

ANGLE_METHODS = (Method.GAUGE, Method.PHOTO, Method.RADIOGRAPH)
LENGTH_METHODS = (Method.TAPE, Method.GAUGE, Method.PHOTO, Method.RADIOGRAPH)
STEEPEST_WEDGE_DEG = Decimal(20)  # house default: far above any wedge or pad
SHOE_THEN = {"before": "Shod feet, before the trim", "after": "Shod feet, after the trim"}
NOT_TRIMMED = (
    "This foot is not ticked as trimmed. Tick it at the top, or write the value under “before”."
)


class VisitSheetForm(ValuesForm):
    """Everything of one visit. `work`, `readings` and `outcomes` are ready when it is valid."""

    takes_points = True
    marked: frozenset[int] = frozenset()  # items that may be marked although they are finished

    def __init__(
        self,
        *args: Any,
        numbers: Numbers,
        offered: VisitSet,
        plan: Sequence[PlanLine],
        booked: Visit | None,
        today: date,
        side_words: str,
        kept_by: Callable[[date], str],
        sent_before: Callable[[str], bool],
        points_by: Callable[[Iterable[str]], Mapping[str, PicturePoints]] = lambda ids: {},
        **kwargs: Any,
    ) -> None:
        """`points_by`: the person's own points by their ids. `kept_by`: who wrote up a visit of a day, or "". `sent_before`: whether a form with this
        key was saved already, so that it is asked nothing anew."""
        sent = (args[0] if args else kwargs.get("data")) or kwargs.get("initial") or {}
        self.offered, self.extra = offered, extra_rows(offered, sent)
        rows = (*offered.own, *self.extra)
        super().__init__(*args, cells=cells_of(rows, sent), side_words=side_words, **kwargs)
        self.numbers, self.today = numbers, today
        self.kept_by, self.sent_before = kept_by, sent_before
        self.points_sent = str(sent.get(POINTS, ""))[:MOST_SENT]
        self._points_said = points_said(self.points_sent)
        self._points = points_by(self._points_said.values()) if self._points_said else {}
        self.side_words = side_words
        self.work: list[WorkDone] = []
        self.readings: list[Taken] = []
        self.outcomes: list[ItemOutcome] = []
        self._add_visit_fields(booked)
        for foot in FEET:
            known = self._shoeing_known(foot, today + timedelta(days=1))
            self.fields |= work_fields(foot, foot_words(foot, side_words), known)
        self._add_method_fields(offered.quantities(*self.extra))
        self.plan = OutcomeFields(self, plan, marked=self.marked)
        self.doubts = Doubts(self)

    def _add_visit_fields(self, booked: Visit | None) -> None:
        self.fields["kept_on"] = PastDayField(
            label="Day of the visit", initial=self.today, today=self.today
        )
        self.next = self.next_visit(booked)
        self.fields["words"] = SafeTextField(
            label="In a few words",
            required=False,
            help_text="What you saw and did, for the owner and the vet. The whole team reads it.",
            widget=forms.Textarea(
                attrs={"rows": 1, "placeholder": "In a few words: the whole team reads it"}
            ),
        )
        self.next.add_day()

    def next_visit(self, booked: Visit | None) -> NextVisit | NextOfCorrection:
        return NextVisit(self, self.numbers.horse, booked, self.today)

    def _add_method_fields(self, quantities: Sequence[str]) -> None:
        self.fields[EXTRA] = SafeCharField(
            required=False,
            max_length=MOST_EXTRA,
            initial="",
            widget=forms.HiddenInput(attrs={"data-keep-field": True}),
        )
        for moment, label in SHOE_THEN.items():
            self.fields[shoe_then_name(moment)] = shoe_then_field(label)
        self.fields["angle_method"] = method_field("Angles with", Method.GAUGE, ANGLE_METHODS)
        self.fields["length_method"] = method_field("Lengths with", Method.TAPE, LENGTH_METHODS)
        for key in quantities:
            of = QUANTITIES[key]
            field = forms.ChoiceField(
                label=of.label.capitalize(),
                required=False,
                choices=[("", "as above"), *[(m.value, m.label) for m in of.typed_methods]],
            )
            self.fields[method_name(key)] = field

    def clean(self) -> dict[str, Any]:
        super().clean()
        day = self.cleaned_data.get("kept_on") or self.today
        self.next.clean(day, sent_before=self.sent_before(self.key))
        filled = self.filled()
        for foot in FEET:
            self._clean_foot(foot, day, [(c, e) for c, e in filled if c.foot == foot])
        self.outcomes = self.plan.cleaned()
        words = self.cleaned_data.get("words")
        if not (self.errors or self.work or self.readings or words or self.outcomes):
            raise forms.ValidationError("Nothing is written down yet: tick, measure or say it.")
        self.ask_doubts(day)
        return self.cleaned_data

    def ask_doubts(self, day: date) -> None:
        untouched = not (self.readings or self.outcomes or self.cleaned_data.get("words"))
        said = any(self._says_something(foot) for foot in FEET)
        if untouched and not said and not self.errors:
            self.doubts.ask_untouched()
        by = "" if self.sent_before(self.key) else self.kept_by(day)
        if by:
            self.doubts.ask_again(by)
        self.ask_shoes(day)

    def ask_shoes(self, day: date) -> None:
        shod = [foot_words(foot, self.side_words) for foot in FEET if self.kept_its_shoe(foot, day)]
        if shod:
            self.doubts.ask_shoe_on(shod)

    def kept_its_shoe(self, foot: str, day: date) -> bool:
        """Came shod and was trimmed, and no word of the shoe."""
        earlier = any(on < day for on, _ in self.numbers.shoeing.get(foot, []))
        shod = earlier and self._shoeing_known(foot, day) != Shoeing.BAREFOOT
        trimmed = bool(self.cleaned_data.get(f"{foot}-trimmed"))
        unsaid = self._shoe(foot) == FootWork.Shoe.NONE and f"{foot}-shoe" not in self.errors
        return shod and trimmed and unsaid

    def _clean_foot(self, foot: str, day: date, filled: list[tuple[Cell, Entered]]) -> None:
        trimmed = bool(self.cleaned_data.get(f"{foot}-trimmed"))
        was = self._shoeing_known(foot, day)
        left = self._left_as(foot, was)
        if trimmed or self._says_something(foot):
            self._add_work(foot, trimmed, left)
        for cell, entered in filled:
            before = cell.moment == TrimState.BEFORE
            if not trimmed and not before:
                self.add_error(cell.name, NOT_TRIMMED)
                continue
            # Without a trim a value is one from between two trims.
            state = cell.moment if trimmed else TrimState.BETWEEN.value
            taken = self.take(
                cell,
                entered,
                method=self.method_of(cell),
                trim_state=state,
                shoeing=(was or self._was_shod(foot)) if before else left,
                shoe_then=self.shoe_then_of(cell),
            )
            if taken is None:
                continue
            taken = self.with_its_error(cell, taken)
            if self._is_of_another_picture(cell, taken, day):
                continue
            if self.is_meant(cell, taken, self.numbers, day, typed=self.readings, today=self.today):
                self.readings.append(taken)

    def _says_something(self, foot: str) -> bool:
        names = (*DETAILS, *SEEN, "left", "words")
        said = any(self.cleaned_data.get(f"{foot}-{name}") for name in names)
        return said or self._shoe(foot) != FootWork.Shoe.NONE

    def _shoe(self, foot: str) -> str:
        return self.cleaned_data.get(f"{foot}-shoe") or FootWork.Shoe.NONE.value

    def _was_shod(self, foot: str) -> str:
        """What the work says of the foot before it: a shoe that is reset or taken off was on."""
        on = self._shoe(foot) in (FootWork.Shoe.RESET, FootWork.Shoe.PULLED)
        return Shoeing.SHOD.value if on else ""

    def _left_as(self, foot: str, was: str) -> str:
        """How the foot is left: as said, else as the work says, else as it was; "" not known."""
        said = self.cleaned_data.get(f"{foot}-left") or ""
        shoe, wedge = self._shoe(foot), self.cleaned_data.get(f"{foot}-wedge")
        under = bool(wedge is not None or self.cleaned_data.get(f"{foot}-pad"))
        self._check_left(foot, said, shoe, under)
        return str(said) or left_from_work(shoe, under=under, was=was)

    def _check_left(self, foot: str, said: str, shoe: str, has_wedge: bool) -> None:
        bare = said == Shoeing.BAREFOOT
        if bare and has_wedge:
            self.add_error(f"{foot}-left", "A foot with a wedge or pad is not left barefoot.")
        elif bare and shoe in (FootWork.Shoe.NEW, FootWork.Shoe.RESET):
            self.add_error(f"{foot}-left", "A foot with a shoe on is not left barefoot.")
        elif said and not bare and shoe == FootWork.Shoe.PULLED:
            self.add_error(f"{foot}-left", "The shoe was taken off: is it barefoot?")
        elif has_wedge and shoe == FootWork.Shoe.PULLED:
            self.add_error(f"{foot}-wedge", "The shoe was taken off: leave wedge and pad empty.")

    def _add_work(self, foot: str, trimmed: bool, left: str) -> None:
        if not left:
            self.add_error(f"{foot}-left", "Is this foot barefoot or shod? It is not known yet.")
            return
        self.work.append(
            WorkDone(
                foot=foot,
                trimmed=trimmed,
                shoeing_left=left,
                shoe=self._shoe(foot),
                shoe_words=self.cleaned_data.get(f"{foot}-shoe_words") or "",
                wedge_deg=self._wedge(foot),
                words=self.cleaned_data.get(f"{foot}-words") or "",
                **shoe_cleaned(self.cleaned_data, foot),
            )
        )

    def _wedge(self, foot: str) -> Decimal | None:
        entered = self.cleaned_data.get(f"{foot}-wedge")
        if entered is None:
            return None
        if not 0 < entered.value <= STEEPEST_WEDGE_DEG or entered.value % Decimal("0.1"):
            self.add_error(f"{foot}-wedge", "Degrees between 0 and 20, with one decimal at most.")
            return None
        return Decimal(entered.value)

    def named_shoes(self) -> dict[str, dict[str, str]]:
        """The shoes that are to be kept among the person's own, by the name given to them."""
        found: dict[str, dict[str, str]] = {}
        for foot in FEET:
            if name := self.cleaned_data.get(f"{foot}-keep_as"):
                typed = {part: str(self[f"{foot}-{part}"].value() or "") for part in DETAILS}
                found[name] = typed
        return found

    def method_of(self, cell: Cell) -> str:
        """The method said for this quantity, else the visit's, else the one that fits."""
        own = self.cleaned_data.get(method_name(cell.quantity))
        of_visit = "angle_method" if cell.of.is_angle else "length_method"
        general = self.cleaned_data.get(of_visit) or cell.of.typed_methods[0].value
        fits = Method(general) in cell.of.typed_methods
        return str(own or (general if fits else cell.of.typed_methods[0].value))

    def with_its_error(self, cell: Cell, taken: Taken) -> Taken:
        """A value off a picture has an error of its own."""
        return with_own_error(taken, self._points.get(self._points_said.get(cell.name, "")))

    def _is_of_another_picture(self, cell: Cell, taken: Taken, day: date) -> bool:
        """Whether its picture is of another day, or has given this value before; said at the field."""
        row = self._points.get(self._points_said.get(cell.name, ""))
        if row is None or taken.points_id != row.pk or self.sent_before(self.key):
            return False
        if taken.points_id == self.points_before(cell):
            return False
        twice = any((t.points_id, t.quantity) == (row.pk, cell.quantity) for t in self.readings)
        trouble = TWICE if twice else points_trouble(row, cell.quantity, day)
        if trouble:
            self.add_error(cell.name, trouble)
        return bool(trouble)

    def points_before(self, cell: Cell) -> int | None:
        """The points that this value came from in the version that is corrected."""
        return None

    def shoe_then_of(self, cell: Cell) -> str:
        return self.cleaned_data.get(shoe_then_name(cell.moment)) or ""

    def _shoeing_known(self, foot: str, day: date) -> str:
        """How the foot came, from the work before the day; "" when none is known."""
        return self.numbers.shoeing_on(foot, day) if self.numbers.shoeing.get(foot) else ""


def left_from_work(shoe: str, *, under: bool, was: str) -> str:
    """How a foot is left by the work on it; `under`: with a wedge or pad; "" not known."""
    if shoe == FootWork.Shoe.PULLED:
        return Shoeing.BAREFOOT.value
    if under:
        return Shoeing.SHOD_WEDGE.value
    if shoe == FootWork.Shoe.RESET and was == Shoeing.SHOD_WEDGE:
        return was
    return Shoeing.SHOD.value if shoe != FootWork.Shoe.NONE else was
