"""What one plan sheet says, as one frozen value: every number rounded, every sentence worded.

The page on screen and the printed page draw this value and nothing else. `freeze` turns it into
plain JSON values and `thaw` back, so that a sheet issued years ago is drawn from what it said.
"""

import typing
import unicodedata
from dataclasses import asdict, dataclass, fields, is_dataclass, replace
from datetime import date
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from caseboard.lib.diagram import DiagramFoot
from caseboard.lib.words import NEAR_OFF_CODES, items_words, listed
from measurements.charts.draw import Drawn
from measurements.charts.side_view import SideDrawn

ROLE_ORDER = ("owner", "farrier", "vet")
SIGNS = {"agreed": "✓", "declined": "✗", "asked": "○"}  # any other has a dashed ring: not yet
# Letters of left-to-right scripts, digits, and signs that go with their neighbours (UAX 9, table 4).
LEFT_TO_RIGHT = ("L", "EN", "ES", "ET", "CS", "NSM", "WS", "ON")


@dataclass(frozen=True)
class SheetPerson:
    role: str
    name: str
    phone: str


@dataclass(frozen=True)
class SheetMark:
    """One named agreement mark: agreed, declined, asked, waiting or vacant."""

    role: str
    state: str
    who: str = ""
    on: str = ""
    others: tuple[str, ...] = ()  # what the role's other people said, where they disagree

    @property
    def day(self) -> str:
        """When it was said, never parted by the end of a line."""
        return self.on.replace(" ", "\N{NO-BREAK SPACE}")

    @property
    def sign(self) -> str:
        """Its shape, a letter of the sheet's font of marks (`marks_font.py`)."""
        return SIGNS.get(self.state, "◌")

    @property
    def says_who(self) -> bool:
        return self.state in SIGNS

    @property
    def is_plain(self) -> bool:
        """Whether the name runs from left to right throughout: a box of its own changes nothing
        then, and 36 of them are a tenth of a sheet's cost."""
        return all(unicodedata.bidirectional(letter) in LEFT_TO_RIGHT for letter in self.who)

    @property
    def is_agreed(self) -> bool:
        return self.state == "agreed"

    @property
    def is_declined(self) -> bool:
        return self.state == "declined"

    @property
    def is_asked(self) -> bool:
        return self.state == "asked"


@dataclass(frozen=True)
class SheetItem:
    """One plan item on paper. `essential`: nobody should act on the page while it is open."""

    number: int
    text: str
    who_does: str
    until: str
    reason: str
    therapeutic: bool
    essential: bool
    marks: tuple[SheetMark, ...]
    agreed: bool
    set_alone: bool = False  # by the vet, in force, not agreed yet
    shortened: bool = False
    new_vet: str = ""  # that the vet's word is from somebody nobody has confirmed yet

    @property
    def is_on_hold(self) -> bool:
        """Whether nobody should act on it yet."""
        return self.essential and not self.agreed and not self.set_alone

    @property
    def columns(self) -> list[SheetMark | None]:
        """The marks under owner, farrier and vet; None where that role is not asked."""
        by_role = {mark.role: mark for mark in self.marks}
        return [by_role.get(role) for role in ROLE_ORDER]


@dataclass(frozen=True)
class SheetBand:
    words: str
    outside: bool


@dataclass(frozen=True)
class SheetValue:
    """One quantity of one foot: its present value, its bands, which way it goes, and then."""

    quantity: str
    label: str
    value: str
    when: str
    on: date
    bands: tuple[SheetBand, ...] = ()
    trend: str = ""
    then: str = ""
    changed: bool = False
    chart: Drawn | None = None


@dataclass(frozen=True)
class SheetFoot:
    foot: str
    label: str
    shoeing: str
    marked: bool
    values: tuple[SheetValue, ...]
    side: SideDrawn | None = None  # seen from the side
    side_words: str = ""  # of which days it is, and what it shows

    @property
    def drawn(self) -> DiagramFoot:
        return DiagramFoot(self.foot, self.marked)

    @property
    def ends_row(self) -> bool:
        """The fore feet stand above the hind feet."""
        return not self.drawn.is_left and not self.drawn.is_hind

    @property
    def code(self) -> str:
        """ "LF", or "NF" on the sheet of somebody who says near fore."""
        return NEAR_OFF_CODES[self.foot] if self.label.startswith(("near", "off")) else self.foot

    @property
    def common_when(self) -> str:
        """When all of it was measured, if it was measured together."""
        whens = {value.when for value in self.values if value.value}
        return whens.pop() if len(whens) == 1 else ""

    @property
    def days(self) -> str:
        """Which value is of which day, where they are not all of one."""
        by_when: dict[str, list[str]] = {}
        for value in self.values:
            if value.value and not self.common_when:
                by_when.setdefault(value.when, []).append(value.label)
        return "; ".join(f"{listed(labels)} {when}" for when, labels in by_when.items())

    @property
    def charts(self) -> list[Drawn]:
        return [value.chart for value in self.values if value.chart]


@dataclass(frozen=True)
class SheetNumber:
    """One measured value as a later sheet compares with it: base unit, with its error SD."""

    foot: str
    quantity: str
    moment: str
    value: float
    sd: float
    on: date


@dataclass(frozen=True)
class Sheet:
    horse_name: str
    horse_words: str
    identity: str
    case_title: str
    is_concern: bool
    people: tuple[SheetPerson, ...]
    vacant: tuple[str, ...]
    emergency_name: str
    emergency_phone: str
    feet: tuple[SheetFoot, ...]
    shoeing: str
    grade: str
    open_points: tuple[str, ...]
    items: tuple[SheetItem, ...]
    closed_items: tuple[str, ...]
    next_visit: str
    signers: tuple[SheetPerson, ...]
    made_on: date
    made_by: str
    case_code: str
    numbers: tuple[SheetNumber, ...]
    since: str = ""  # "sheet 3 of 12 Sep 2026", when there is one to compare with
    outcome: str = ""  # of a closed case: "goal met"
    outcome_words: str = ""  # the team's
    outcome_numbers: str = ""  # what the numbers say of the goal
    danger: str = ""  # what whoever handles the horse must know first
    films: tuple[str, ...] = ()  # thin soles and angles out of range: who cuts reads them first
    before_cutting: tuple[str, ...] = ()  # what the plan says to who cuts
    urgent_points: tuple[str, ...] = ()  # of what is wrong, what comes first and in heavier weight
    # Given when it is issued; without a number it is a draft.
    number: int = 0
    code: str = ""
    # What the fitting did to it.
    left_off: tuple[str, ...] = ()
    dense: bool = False
    roomy: bool = False  # set close, with a little air between the lines
    large: bool = False  # the feet from the side large, their charts below the numbers
    side_scale: str = ""  # "5.2": how many times smaller they are drawn
    # Of the items left off, those that are not agreed and those that nobody should act on: the
    # warning speaks of them all the same.
    open_gone: tuple[int, ...] = ()
    hold_gone: tuple[int, ...] = ()

    @property
    def title(self) -> str:
        kind = "Draft of a plan sheet" if self.is_draft else f"Plan sheet {self.number}"
        return f"{kind}: {self.horse_name}, {self.case_title}"

    @property
    def diagram_words(self) -> str:
        """What a screen reader hears of the drawing of the feet."""
        marked = [f"{f.label[:1].upper()}{f.label[1:]} marked." for f in self.feet if f.marked]
        return " ".join(["The feet from above, the horse facing up the page.", *marked])

    @property
    def is_draft(self) -> bool:
        return not self.number

    @property
    def is_closing(self) -> bool:
        return bool(self.outcome)

    @property
    def has_charts(self) -> bool:
        return any(foot.charts for foot in self.feet)

    @property
    def has_sides(self) -> bool:
        return any(foot.side for foot in self.feet)

    @property
    def open_items(self) -> tuple[SheetItem, ...]:
        return tuple(item for item in self.items if not item.agreed)

    @property
    def open_numbers(self) -> tuple[int, ...]:
        """The numbers of the items not agreed yet, those left off the paper too."""
        return tuple(sorted({*(i.number for i in self.open_items), *self.open_gone}))

    @property
    def essential_open(self) -> tuple[int, ...]:
        """The numbers of the items that nobody should act on yet, those left off too."""
        here = (i.number for i in self.items if i.is_on_hold)
        return tuple(sorted({*here, *self.hold_gone}))

    @property
    def open_words(self) -> str:
        return items_words(self.open_numbers)

    @property
    def hold_words(self) -> str:
        return items_words(self.essential_open)

    @property
    def jobs(self) -> list[tuple[str, list[SheetItem]]]:
        """The items by whose job they are: owner, farrier, vet, then anybody else."""
        roles = [*ROLE_ORDER, *sorted({i.who_does for i in self.items} - set(ROLE_ORDER))]
        by_role = [(role, [i for i in self.items if i.who_does == role]) for role in roles]
        return [(role, items) for role, items in by_role if items]

    def issued_as(self, number: int, code: str) -> "Sheet":
        return replace(self, number=number, code=code)


T = TypeVar("T")


def freeze(sheet: Sheet) -> dict[str, Any]:
    """The sheet as values that JSON knows."""
    plain: dict[str, Any] = _plain(asdict(sheet))
    return plain


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    return value.isoformat() if isinstance(value, date) else value


def thaw(content: dict[str, Any]) -> Sheet:
    """The sheet that was frozen. Fields that did not exist then have their defaults."""
    return _value(Sheet, content)


def _value(kind: Any, plain: Any) -> Any:
    if get_origin(kind) is tuple:
        return tuple(_value(get_args(kind)[0], part) for part in plain)
    if type(None) in get_args(kind):
        inner = next(part for part in get_args(kind) if part is not type(None))
        return None if plain is None else _value(inner, plain)
    if kind is date:
        return date.fromisoformat(plain)
    if is_dataclass(kind) and isinstance(kind, type):
        hints = _hints(kind)
        named = {f.name for f in fields(kind)} & set(plain)
        return kind(**{name: _value(hints[name], plain[name]) for name in named})
    return plain


def _hints(kind: type) -> dict[str, Any]:
    """The types of a class's fields, read once a class."""
    if kind not in _known:
        _known[kind] = get_type_hints(kind)
    return _known[kind]


_known: dict[type, dict[str, typing.Any]] = {}
