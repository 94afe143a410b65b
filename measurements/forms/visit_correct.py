"""The form of a visit once more, filled in as it was written up, to put it right."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from caseboard.lib.text_safe import SafeCharField
from horses.models import FootWork, PlanItemOutcome, Visit
from measurements.forms.from_points import as_it_was, is_of_no_points
from measurements.forms.readings import as_entered
from measurements.forms.values import Cell
from measurements.forms.visit_fields import method_name, shoe_then_name
from measurements.forms.visit_next import NextOfCorrection
from measurements.forms.visit_record import (
    ANGLE_METHODS,
    LENGTH_METHODS,
    VisitSheetForm,
    left_from_work,
)
from measurements.forms.visit_shoe import SEEN, last_values
from measurements.hoof.quantities import QUANTITIES, Method
from measurements.models import Reading
from measurements.panels.visit_set import FEET, MOMENTS
from measurements.queries.numbers import Numbers
from measurements.services.readings import Taken
from measurements.services.visit_correct import Place


class VisitCorrectForm(VisitSheetForm):
    """A field that was left as it came changes nothing, whatever it was measured with."""

    def __init__(
        self,
        *args: Any,
        visit: Visit,
        taken: Mapping[Place, Reading],
        marks: Sequence[PlanItemOutcome],
        next_own: Visit | None,
        **kwargs: Any,
    ) -> None:
        """`taken`: the visit's readings by field; `next_own`: the day planned with the visit."""
        self.visit, self.taken, self.next_own = visit, taken, next_own
        self.work_before = {work.foot: work for work in visit.work.all()}
        self.marked = frozenset(mark.version.item_id for mark in marks)
        super().__init__(*args, **kwargs)
        self.fields["reason"] = SafeCharField(
            label="Why it is corrected",
            max_length=300,
            help_text="The whole team reads it, beside the version before.",
            error_messages={"required": "Say why: the line stays on the board, struck through."},
        )
        self.unusual |= {_cell(place).name for place, row in taken.items() if row.confirmed_odd}

    def next_visit(self, booked: Visit | None) -> NextOfCorrection:
        return NextOfCorrection(self, self.next_own, booked, self.today)

    def ask_doubts(self, day: date) -> None:
        """What was meant the first time is not asked about again."""
        by = "" if self.sent_before(self.key) else self.kept_by(day)
        if by:
            self.doubts.ask_again(by)
        self.ask_shoes(day)

    def kept_its_shoe(self, foot: str, day: date) -> bool:
        before = self.work_before.get(foot)
        meant = before is not None and before.trimmed and before.shoe == FootWork.Shoe.NONE
        return not meant and super().kept_its_shoe(foot, day)

    def method_of(self, cell: Cell) -> str:
        general = "angle_method" if cell.of.is_angle else "length_method"
        before = self._before(cell, general, method_name(cell.quantity))
        return before.method if before else super().method_of(cell)

    def shoe_then_of(self, cell: Cell) -> str:
        before = self._before(cell, shoe_then_name(cell.moment))
        return before.shoe_then if before else super().shoe_then_of(cell)

    def with_its_error(self, cell: Cell, taken: Taken) -> Taken:
        before = self.taken.get((cell.foot, cell.quantity, cell.moment))
        taken = as_it_was(super().with_its_error(cell, taken), before)
        # Typed anew, it is no longer the picture's.
        return replace(taken, method=super().method_of(cell)) if is_of_no_points(taken) else taken

    def points_before(self, cell: Cell) -> int | None:
        before = self.taken.get((cell.foot, cell.quantity, cell.moment))
        return before.points_id if before else None

    def _before(self, cell: Cell, *names: str) -> Reading | None:
        """The reading of the version before, where nothing was said anew of how it was taken."""
        said_anew = set(names) & set(self.changed_data)
        return None if said_anew else self.taken.get((cell.foot, cell.quantity, cell.moment))


def as_written_up(
    visit: Visit,
    taken: Mapping[Place, Reading],
    marks: Iterable[PlanItemOutcome],
    numbers: Numbers,
) -> dict[str, Any]:
    """What the fields hold at first."""
    filled: dict[str, Any] = {"kept_on": visit.kept_on, "words": visit.words}
    filled |= {f"{foot}-trimmed": False for foot in FEET}
    for work in visit.work.all():
        filled |= {f"{work.foot}-{name}": value for name, value in _work(work, numbers).items()}
    for place, reading in taken.items():
        filled[_cell(place).name] = as_entered(reading)
        filled[_cell(place).sure_name] = reading.confirmed_odd
    for mark in marks:
        name = f"item-{mark.version.item.public_id}"
        filled |= {f"{name}-result": mark.result, f"{name}-words": mark.words}
    return filled | _methods(taken.values()) | _shoes_then(taken)


def _cell(place: Place) -> Cell:
    foot, quantity, moment = place
    return Cell(foot, quantity, moment)


def _work(work: FootWork, numbers: Numbers) -> dict[str, Any]:
    """ "Left as" is said only where the work does not say it already, so that another shoe is not
    contradicted by it."""
    day = work.visit.kept_on
    assert day is not None
    was = numbers.shoeing_on(work.foot, day) if numbers.shoeing.get(work.foot) else ""
    under = work.wedge_deg is not None or bool(work.pad)
    follows = left_from_work(work.shoe, under=under, was=was) == work.shoeing_left
    seen = {name: getattr(work, name) for name in SEEN}
    return (
        last_values(work, work.shoe)
        | seen
        | {
            "trimmed": work.trimmed,
            "left": "" if follows else work.shoeing_left,
            "words": work.words,
        }
    )


def _methods(taken: Iterable[Reading]) -> dict[str, Any]:
    """The commonest way of each kind; a reading taken otherwise keeps its own until it is said."""
    rows = list(taken)
    found: dict[str, Any] = {}
    kinds = (("angle_method", True, ANGLE_METHODS), ("length_method", False, LENGTH_METHODS))
    for name, is_angle, offered in kinds:
        used = Counter(
            r.method
            for r in rows
            if QUANTITIES[r.quantity].is_angle == is_angle and Method(r.method) in offered
        )
        found |= {name: used.most_common(1)[0][0]} if used else {}
    return found


def _shoes_then(taken: Mapping[Place, Reading]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for moment in MOMENTS:
        said = Counter(r.shoe_then for (_, _, at), r in taken.items() if at == moment)
        found |= {shoe_then_name(moment): said.most_common(1)[0][0]} if said else {}
    return found
