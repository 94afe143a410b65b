"""A farrier's day on paper: six horses a page, each with what one must know before touching it.

Drawn from the boards as they stand and never kept. Where a horse's words are too many for its sixth
of a page, all horses' words are cut alike until the day fits, and each horse says so.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime

from django.template.loader import render_to_string

from caseboard.case_reading import CaseReading
from caseboard.lib.pdf.fit import html_to_pdf_fitting
from caseboard.lib.pdf.parent import Paper
from caseboard.lib.words import foot_code, own_sides, plan_text
from caseboard.sheets.plan_fit import SHORT_PHONE, cut, whole_phone
from caseboard.sheets.warning_cut import warning_cut
from horses.models import Person, Role
from horses.queries.cutting import cut_items_in
from horses.queries.day_list_print import planned_standings
from horses.queries.plan_lines import PlanLine
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import TrimState
from measurements.queries.dangers import again_tight, films_tight, item_words
from measurements.queries.numbers import Numbers
from measurements.wording import entered_words

HORSES_A_PAGE = 6
MOST_CUTTING, CUTTING_LETTERS = 3, 160  # warnings of the plan above the rest; house defaults
VALUES = ("toe_angle", "heel_angle", "toe_length")


@dataclass(frozen=True)
class RoundFoot:
    foot: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class RoundItem:
    number: int
    text: str
    agreed: bool


@dataclass(frozen=True)
class RoundHorse:
    name: str
    yard: str
    owner: str
    phone: str
    vet_name: str
    vet_phone: str
    danger: str
    handling: str
    held_by: str
    shoeing: str
    last_trim: str
    feet: tuple[RoundFoot, ...]
    flags: tuple[str, ...]
    items: tuple[RoundItem, ...]
    again: str = ""  # what jumped, to be measured again: never cut short
    films: str = ""  # thin soles and angles out of range: never cut short
    before_cutting: tuple[str, ...] = ()  # what the plans say of the cutting
    is_short: bool = False  # something of it is on the board only


@dataclass(frozen=True)
class DayListFit:
    """How many letters and lines each horse has."""

    names: int
    danger: int
    handling: int
    flags: int
    flag: int
    items: int
    item: int


# House defaults, tried on both papers: the first cuts nothing that is usual, the last fits in
# capitals without a break.
FITS = (
    DayListFit(names=120, danger=300, handling=500, flags=6, flag=300, items=8, item=300),
    DayListFit(names=60, danger=200, handling=120, flags=4, flag=120, items=5, item=160),
    DayListFit(names=40, danger=120, handling=70, flags=3, flag=80, items=4, item=100),
    DayListFit(names=30, danger=90, handling=40, flags=2, flag=60, items=3, item=70),
    DayListFit(names=24, danger=60, handling=0, flags=1, flag=40, items=2, item=50),
    DayListFit(names=16, danger=40, handling=0, flags=1, flag=24, items=2, item=30),
    DayListFit(names=8, danger=12, handling=0, flags=1, flag=12, items=1, item=8),
)


def round_for(person: Person, on: date, *, now: datetime) -> list[RoundHorse]:
    """The horses whose visit is planned for that day, with what one needs at each."""
    return [
        _horse([CaseReading(access, now) for access in boards])
        for boards in planned_standings(person, on)
    ]


def _horse(boards: list[CaseReading]) -> RoundHorse:
    """One horse from all the boards that the person is on: the work may stand on a concern."""
    first = boards[0]
    horse, person, numbers = first.horse, first.person, first.numbers
    owner = next((m.person for m in first.team if m.role == Role.OWNER), None)
    kept = first.owner_contact  # of a held horse
    items, before_cutting = _work(boards)
    flags = [flag for board in boards for flag in board.open_flags]
    return RoundHorse(
        name=horse.name,
        yard=horse.yard,
        owner=str(owner) if owner else kept.name if kept else "",
        phone=owner.phone if owner else kept.phone if kept else "",
        vet_name=horse.emergency_vet_name,
        vet_phone=horse.emergency_vet_phone,
        danger=horse.danger,
        handling=horse.handling,
        held_by=horse.held_by,
        shoeing=own_sides(numbers.shoes.short, person),
        last_trim=numbers.last_trim_words,
        feet=tuple(
            RoundFoot(foot_code(foot.value, person), _values(person, numbers, foot.value))
            for foot in Foot
        ),
        flags=tuple(", ".join(flag.sign_words) for flag in flags),
        items=items,
        again=again_tight(first.dangers.jumps, person),
        films=films_tight(first.films, person),
        before_cutting=before_cutting,
    )


def _work(boards: list[CaseReading]) -> tuple[tuple[RoundItem, ...], tuple[str, ...]]:
    """What there is to do, and what else the plans say of the cutting."""
    person, today = boards[0].person, boards[0].today
    plan: list[PlanLine] = [line for board in boards for line in board.open_plan]
    lines = [line for line in plan if line.version.who_does == Role.FARRIER]
    here = {line.version.text for line in lines}
    cutting = [item for item in cut_items_in(plan, today=today) if item.text not in here]
    items = (
        RoundItem(i.item.number, plan_text(i.version, person), i.state.is_agreed) for i in lines
    )
    return tuple(items), tuple(own_sides(item_words(item), person) for item in cutting)


def _values(person: Person, numbers: Numbers, foot: str) -> tuple[str, ...]:
    """The last values just after a trim, or the newest there are; a dash where there is none."""
    found = []
    for quantity in VALUES:
        reading = numbers.latest_before(foot, quantity, TrimState.AFTER)
        reading = reading or numbers.latest(foot, quantity)
        found.append(entered_words(reading, person.length_unit) if reading else "–")
    return tuple(found)


def fitted(horse: RoundHorse, fit: DayListFit) -> RoundHorse:
    """The horse in so many words; it says when that is not all."""
    narrow = fit.names <= SHORT_PHONE
    short = replace(
        horse,
        name=cut(horse.name, min(fit.names, 40)),
        yard=cut(horse.yard, fit.names),
        owner=cut(horse.owner, fit.names),
        phone=whole_phone(horse.phone, narrow=narrow),
        vet_name=cut(horse.vet_name, fit.names),
        vet_phone=whole_phone(horse.vet_phone, narrow=narrow),
        danger=cut(horse.danger, fit.danger),
        handling=cut(horse.handling, fit.handling) if fit.handling else "",
        held_by=cut(horse.held_by, fit.names) if fit.handling else "",
        shoeing=cut(horse.shoeing, fit.names * 2 if fit.handling else fit.names),
        flags=tuple(cut(words, fit.flag) for words in horse.flags[: fit.flags]),
        items=tuple(
            replace(i, text=warning_cut(i.text, fit.item)) for i in horse.items[: fit.items]
        ),
        before_cutting=tuple(
            warning_cut(words, min(fit.item, CUTTING_LETTERS))
            for words in horse.before_cutting[: min(fit.items, MOST_CUTTING)]
        ),
    )
    return replace(short, is_short=short != horse)


def round_pdf(person: Person, on: date, *, paper: Paper, now: datetime) -> bytes:
    """The day on paper: a page for every six horses."""
    horses, today = round_for(person, on, now=now), now.date()
    pages = max(1, -(-len(horses) // HORSES_A_PAGE))

    def html_of(draft: int) -> str:
        drawn = [fitted(horse, FITS[draft]) for horse in horses]
        parts = [drawn[HORSES_A_PAGE * n : HORSES_A_PAGE * (n + 1)] for n in range(pages)]
        shown = {"pages": parts, "on": on, "person": person, "today": today}
        return render_to_string("caseboard/round_print.html", shown)

    unknown = [0.0] * len(FITS)  # few drafts: tried one after the other
    return html_to_pdf_fitting(html_of, unknown, room=0.0, paper=paper, most_pages=pages).pdf
