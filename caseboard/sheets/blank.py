"""A horse's blank visit sheet, to be written on in the barn, with the last values beside the places.

It is drawn from the board as it stands and never kept: what counts is what is typed in after.
"""

from dataclasses import dataclass, replace
from datetime import date

from django.template.loader import render_to_string

from caseboard.case_reading import CaseReading
from caseboard.case_words import age_words
from caseboard.lib.pdf.fit import html_to_pdf_fitting
from caseboard.lib.pdf.parent import Paper
from caseboard.lib.spans import counted
from caseboard.lib.words import foot_code, foot_label, listed, plan_text
from caseboard.sheets.plan_fit import cut
from caseboard.sheets.warning_cut import warning_cut
from horses.models import Horse, Person, Role
from horses.queries.plan_lines import PlanLine
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Shoeing, TrimState
from measurements.panels.offered import Offered, last_words, quantities_offered, unit_symbol
from measurements.queries.dangers import MOST_AGAIN, Dangers, item_words
from measurements.queries.numbers import Numbers
from measurements.verdicts.trend_short import band_short
from measurements.wording import shown_unit

# House defaults: what a page holds at 9 pt and more.
MOST_ITEMS, ITEM_LETTERS, SHORT = 6, 130, 60
# Quantities a foot and plan items, the fullest first: a quantity takes the room of three items.
SIZES = ((6, 6), (6, 4), (5, 5), (5, 3), (4, 5), (4, 4), (4, 2), (3, 4), (3, 1), (2, 0))
MOST_CUTTING, FEWEST_CUTTING = 4, 2  # warnings of the plan above the feet; house defaults


@dataclass(frozen=True)
class BlankValue:
    quantity: str
    label: str
    unit: str
    before: str  # the last values, and their days
    before_on: str
    after: str
    after_on: str
    band: str


@dataclass(frozen=True)
class BlankFoot:
    foot: str
    label: str
    shoeing: str
    values: tuple[BlankValue, ...]
    dangers: tuple[str, ...] = ()  # what its numbers say, before it is cut
    ends_row: bool = False  # the fore feet stand above the hind feet


@dataclass(frozen=True)
class BlankItem:
    number: int
    text: str
    agreed: bool


@dataclass(frozen=True)
class BlankSheet:
    horse_name: str
    horse_words: str
    case_title: str
    danger: str
    handling: str
    held_by: str
    vet_name: str
    vet_phone: str
    last_trim: str
    feet: tuple[BlankFoot, ...]
    items: tuple[BlankItem, ...]
    more_items: int
    before_cutting: tuple[str, ...]  # what the plan says of the cutting
    more_cutting: int
    more_quantities: tuple[str, ...]  # measured on this horse, and no place here
    printed_on: date

    @property
    def left_off(self) -> list[str]:
        """What has no place on this paper, in words."""
        said = []
        if self.more_quantities:
            labels = listed(QUANTITIES[quantity].label for quantity in self.more_quantities)
            said.append(f"{labels}: write on the back.")
        if self.more_cutting:
            said.append(f"{self.more_cutting} more to know before you cut: see the board.")
        if self.more_items:
            said.append(f"{counted(self.more_items, 'more plan item')}: see the board.")
        return [words[:1].upper() + words[1:] for words in said]

    def shorter(self, values: int, items: int) -> "BlankSheet":
        """The same with fewer places and items; what went is said."""
        here = [value.quantity for value in self.feet[0].values]
        return replace(
            self,
            feet=tuple(replace(foot, values=foot.values[:values]) for foot in self.feet),
            items=self.items[:items],
            more_items=self.more_items + len(self.items[items:]),
            before_cutting=tuple(
                warning_cut(words, SHORT) for words in self.before_cutting[:FEWEST_CUTTING]
            ),
            more_cutting=self.more_cutting + len(self.before_cutting[FEWEST_CUTTING:]),
            more_quantities=(*here[values:], *self.more_quantities),
        )


def blank_for(reading: CaseReading) -> BlankSheet:
    """A visit sheet to write on, with what was measured last beside each empty place."""
    horse, today, numbers = reading.horse, reading.today, reading.numbers
    offered = quantities_offered(numbers, Role.FARRIER, today)
    known = {quantity for _, quantity in [*numbers.readings, *numbers.targets]}
    items, dangers = reading.open_plan, reading.dangers
    cutting = [warning_cut(item_words(item), ITEM_LETTERS) for item in dangers.items]
    return BlankSheet(
        horse_name=cut(horse.name, SHORT),
        horse_words=_about(horse, today),
        case_title=cut(reading.case.title, SHORT),
        danger=horse.danger,
        handling=cut(horse.handling, ITEM_LETTERS),
        held_by=cut(horse.held_by, SHORT),
        vet_name=cut(horse.emergency_vet_name, SHORT),
        vet_phone=horse.emergency_vet_phone,
        last_trim=numbers.last_trim_words,
        feet=tuple(_blank_foot(reading, foot, offered, dangers) for foot in Foot),
        items=tuple(_blank_item(line, reading.person) for line in items[:MOST_ITEMS]),
        more_items=max(0, len(items) - MOST_ITEMS),
        before_cutting=tuple(cutting[:MOST_CUTTING]),
        more_cutting=max(0, len(cutting) - MOST_CUTTING),
        more_quantities=tuple(quantity for quantity in offered.more if quantity in known),
        printed_on=today,
    )


def _blank_foot(reading: CaseReading, foot: Foot, offered: Offered, dangers: Dangers) -> BlankFoot:
    person, numbers, today = reading.person, reading.numbers, reading.today
    worn = numbers.shoes.worn.get(foot.value)
    return BlankFoot(
        foot_code(foot.value, person),
        foot_label(foot.value, person),
        Shoeing(worn).label if worn else "",
        tuple(_blank_value(person, numbers, foot, q, today) for q in offered.first),
        tuple(dangers.numbers_of(foot.value, person, today, most_again=MOST_AGAIN)),
        ends_row=foot is Foot.RF,
    )


def _blank_item(line: PlanLine, person: Person) -> BlankItem:
    text = warning_cut(plan_text(line.version, person), ITEM_LETTERS)
    return BlankItem(line.item.number, text, line.state.is_agreed)


def _about(horse: Horse, today: date) -> str:
    age = age_words(horse.born_on, today) if horse.born_on else ""
    return cut(", ".join(filter(None, [horse.get_sex_display(), age, horse.yard])), SHORT)


def _blank_value(
    person: Person, numbers: Numbers, foot: Foot, quantity: str, today: date
) -> BlankValue:
    def last(state: str) -> tuple[str, str]:
        reading = numbers.latest_before(foot.value, quantity, state)
        value, _, on = last_words(reading, person.length_unit).rpartition(", ")
        return value, on

    targets = numbers.targets.get((foot.value, quantity), [])
    unit = shown_unit(quantity, person.length_unit)
    (before, before_on), (after, after_on) = last(TrimState.BEFORE), last(TrimState.AFTER)
    return BlankValue(
        quantity=quantity,
        label=QUANTITIES[quantity].label_on(foot),
        unit=unit_symbol(quantity, person.length_unit),
        before=before,
        before_on=before_on,
        after=after,
        after_on=after_on,
        band="; ".join(band_short(t, None, unit)[0].split(": not")[0] for t in targets),
    )


def blank_pdf(reading: CaseReading, *, paper: Paper) -> bytes:
    """One page. Where it would not fit, it offers fewer quantities and items, and says so."""
    sheet = blank_for(reading)
    drafts = [sheet, *(sheet.shorter(*size) for size in SIZES)]

    def html_of(draft: int) -> str:
        return render_to_string("caseboard/blank_print.html", {"sheet": drafts[draft]})

    unknown = [0.0] * len(drafts)  # few drafts: tried one after the other
    return html_to_pdf_fitting(html_of, unknown, room=0.0, paper=paper).pdf
