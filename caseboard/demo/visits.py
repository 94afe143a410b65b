"""Plays a horse's visits one after the other: what was measured, done, written and planned."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from caseboard.demo.boards import DemoBoard
from caseboard.demo.days import Days
from caseboard.demo.series import FootLevel, Value, series
from horses.models import Person, Visit
from horses.queries.board import next_visit
from horses.services.visits import ItemOutcome, WorkDone
from measurements.hoof.quantities import QUANTITIES
from measurements.hoof.units import parse_value
from measurements.models import Reading
from measurements.services.readings import Taken, reading_correct
from measurements.services.visit_record import visit_write_up

ALL_FEET = ("LF", "RF", "LH", "RH")


@dataclass(frozen=True)
class Deed:
    """What is said of one visit where it was not an everyday one."""

    by: Person | None = None
    words: str = ""
    foot_words: Mapping[str, str] = field(default_factory=dict)
    feet: Sequence[str] = ALL_FEET  # those measured
    before: bool = True  # whether the feet were measured before the trim as well
    shoe_words: str = ""
    wear: Mapping[str, str] = field(default_factory=dict)  # of the feet that did not wear evenly
    landing: Mapping[str, str] = field(default_factory=dict)
    clock: str = "11:30"
    # (foot, quantity, trim state) -> what was written down by mistake, and the words with which
    # it was put right the next day (empty: nobody has noticed).
    slips: Mapping[tuple[str, str, str], float] = field(default_factory=dict)
    put_right: str = ""


@dataclass
class VisitBook:
    """The visits of one horse in time order. `deeds` are counted like the days, from 0 or -1."""

    board: DemoBoard
    days: Days
    on: Sequence[date]
    feet: Mapping[str, FootLevel]
    seed: str
    farrier: Person
    next_on: date | None = None
    deeds: Mapping[int, Deed] = field(default_factory=dict)
    size: str = "5"
    judged: Sequence[int] = ()  # the visits after which the rules are run
    played: int = 0
    after: Callable[[int, Visit], None] | None = None  # done at the end of each, with its number

    def __post_init__(self) -> None:
        since_first = [(day - self.on[0]).days for day in self.on]
        self._values = series(self.seed, self.feet, since_first)

    def until(self, moment: datetime) -> None:
        """Plays the visits before a moment that have not been played."""
        while self.played < len(self.on) and self.on[self.played] < moment.date():
            self.play_one()

    def rest(self) -> None:
        while self.played < len(self.on):
            self.play_one()

    def play_one(self, outcomes: list[ItemOutcome] | None = None) -> Visit:
        index = self.played
        deed = self.deeds.get(index) or self.deeds.get(index - len(self.on)) or Deed()
        by = deed.by or self.farrier
        planned = next_visit(self.board.horse)
        at = self.days.at(self.on[index], deed.clock)
        visit = visit_write_up(
            access=self.board.access(by),
            kept_on=self.on[index],
            work=[self._work(foot, deed) for foot in self.feet],
            readings=[self._taken(value, by) for value in self._measured(deed)],
            words=deed.words,
            next_on=self._next(),
            outcomes=outcomes,
            planned_id=planned.public_id if planned else "",
            now=at,
        )
        if deed.put_right:
            self._put_right(visit, deed, by, at + timedelta(hours=20))
        self.played += 1
        if index in self.judged:
            self.board.judge(at)
        if self.after is not None:
            self.after(index, visit)
        return visit

    def _next(self) -> date | None:
        later = self.on[self.played + 1 :]
        return later[0] if later else self.next_on

    def _measured(self, deed: Deed) -> list[Value]:
        """What was measured that day, as written down."""
        return [
            replace(value, number=deed.slips.get(_place(value), value.number))
            for value in self._values[self.played]
            if value.foot in deed.feet and (deed.before or value.trim_state != "before")
        ]

    def _put_right(self, visit: Visit, deed: Deed, by: Person, at: datetime) -> None:
        for value in self._values[self.played]:
            if _place(value) in deed.slips:
                wrong = Reading.objects.get(
                    visit=visit,
                    foot=value.foot,
                    quantity=value.quantity,
                    trim_state=value.trim_state,
                )
                reading_correct(
                    access=self.board.access(by),
                    reading_id=wrong.public_id,
                    taken=self._taken(value, by),
                    reason=deed.put_right,
                    now=at,
                )

    def _taken(self, value: Value, by: Person) -> Taken:
        return taken(value, by, self.feet[value.foot].shod)

    def _work(self, foot: str, deed: Deed) -> WorkDone:
        bare = WorkDone(
            foot=foot,
            trimmed=True,
            shoeing_left="barefoot",
            words=deed.foot_words.get(foot, ""),
            wear=deed.wear.get(foot, "even"),
            landing=deed.landing.get(foot, "flat"),
        )
        if not self.feet[foot].shod:
            return bare
        return replace(
            bare,
            shoeing_left="shod",
            shoe="reset" if self.played % 2 else "new",
            kind="fullered",
            material="steel",
            size=self.size,
            nails=7,
            clips="toe" if foot in ("LF", "RF") else "side",
            shoe_words=deed.shoe_words,
        )


def _place(value: Value) -> tuple[str, str, str]:
    return value.foot, value.quantity, value.trim_state


def taken(value: Value, by: Person, shod: bool) -> Taken:
    """A value as this person writes it down: in their own unit of length."""
    base = QUANTITIES[value.quantity].unit
    unit, text = (base, f"{value.number:g}") if base == "deg" else _length(value.number, by)
    entered = parse_value(text, unit)  # type: ignore[arg-type]  # the demo's units are the known ones
    return Taken(
        foot=value.foot,
        quantity=value.quantity,
        value=entered.base,
        entered_value=entered.value,
        entered_unit=entered.unit,
        entered_text=text,
        method="gauge" if base == "deg" else "tape",
        trim_state=value.trim_state,
        shoeing="shod" if shod else "barefoot",
    )


def _length(length_mm: float, by: Person) -> tuple[str, str]:
    if by.length_unit == Person.LengthUnit.IN:
        return "in", _eighths(length_mm)
    if by.length_unit == Person.LengthUnit.CM:
        return "cm", f"{Decimal(str(length_mm)) / 10:f}"
    return "mm", f"{length_mm:g}"


def _eighths(length_mm: float) -> str:
    """ "3 1/4": inches to the nearest eighth."""
    whole, eighths = divmod(round(length_mm / 25.4 * 8), 8)
    parts = {0: "", 1: " 1/8", 2: " 1/4", 3: " 3/8", 4: " 1/2", 5: " 5/8", 6: " 3/4", 7: " 7/8"}
    return f"{whole}{parts[eighths]}"
