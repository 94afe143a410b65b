"""Papers for the barn, written on by hand: a horse's blank visit sheet, and a farrier's day.

They are drawn from the board as it stands and never kept: what counts is what is typed in after.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime

from django.template.loader import render_to_string

from caseboard.board import age_words
from caseboard.lib.html_pdf import Paper, html_to_pdf
from caseboard.lib.html_pdf_fit import html_to_pdf_fitting
from caseboard.lib.words import foot_label
from caseboard.sheet_fit import cut
from horses.access import Standing
from horses.models import Horse, Person, Role
from horses.queries import open_flags_for, plan_for, team_for
from horses.queries_round_sheet import planned_standings
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Shoeing, TrimState
from measurements.offered import entered_words, last_words, quantities_offered, unit_symbol
from measurements.queries import Numbers, numbers_of
from measurements.trend_short import band_short

HORSES_A_PAGE = 6
ROUND_VALUES = ("toe_angle", "heel_angle", "toe_length")
# House defaults: what a page holds at 9 pt and more.
MOST_ITEMS, ITEM_LETTERS, ROUND_ITEMS, ROUND_LETTERS, SHORT = 6, 130, 4, 100, 60


@dataclass(frozen=True)
class BlankValue:
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
    last_trim: str
    feet: tuple[BlankFoot, ...]
    items: tuple[BlankItem, ...]
    more_items: int
    printed_on: date


def blank_for(standing: Standing, *, now: datetime) -> BlankSheet:
    """A visit sheet to write on, with what was measured last beside each empty place."""
    horse, today = standing.horse, now.date()
    numbers = numbers_of(horse, today=today)
    offered = quantities_offered(numbers, Role.FARRIER, today).first
    shoeing = numbers.shoes.worn
    items = plan_for(standing, open_only=True)
    trims = [days[-1] for days in numbers.trims.values() if days]
    return BlankSheet(
        horse_name=cut(horse.name, SHORT),
        horse_words=_about(horse, today),
        case_title=cut(standing.case.title, SHORT),
        last_trim=f"{max(trims):%-d %b %Y}" if trims else "",
        feet=tuple(
            BlankFoot(
                foot.value,
                foot_label(foot.value, standing.person),
                Shoeing(shoeing[foot.value]).label if shoeing.get(foot.value) else "",
                tuple(_blank_value(standing.person, numbers, foot, q, today) for q in offered),
            )
            for foot in Foot
        ),
        items=tuple(
            BlankItem(i.item.number, cut(i.version.text, ITEM_LETTERS), i.state.is_agreed)
            for i in items[:MOST_ITEMS]
        ),
        more_items=max(0, len(items) - MOST_ITEMS),
        printed_on=today,
    )


def _about(horse: Horse, today: date) -> str:
    age = age_words(horse.born_on, today) if horse.born_on else ""
    return cut(", ".join(filter(None, [horse.get_sex_display(), age, horse.yard])), SHORT)


def _blank_value(
    person: Person, numbers: Numbers, foot: Foot, quantity: str, today: date
) -> BlankValue:
    def last(state: str) -> tuple[str, str]:
        reading = numbers.latest_before(foot.value, quantity, state)
        value, _, on = last_words(reading, person.length_unit, today).rpartition(", ")
        return value, on

    targets = numbers.targets.get((foot.value, quantity), [])
    (before, before_on), (after, after_on) = last(TrimState.BEFORE), last(TrimState.AFTER)
    return BlankValue(
        label=QUANTITIES[quantity].label_on(foot),
        unit=unit_symbol(quantity, person.length_unit),
        before=before,
        before_on=before_on,
        after=after,
        after_on=after_on,
        band="; ".join(band_short(target, None)[0].split(": not")[0] for target in targets),
    )


def blank_pdf(standing: Standing, *, paper: Paper, now: datetime) -> bytes:
    """One page. Where it would not fit, it offers fewer quantities and items, and says so."""
    sheet = blank_for(standing, now=now)
    drafts = [sheet]
    for values, items in ((6, 4), (5, 3), (4, 2), (3, 1), (2, 0)):
        feet = tuple(replace(foot, values=foot.values[:values]) for foot in sheet.feet)
        fewer = sheet.items[:items]
        more = sheet.more_items + len(sheet.items) - len(fewer)
        drafts.append(replace(sheet, feet=feet, items=fewer, more_items=more))

    def html_of(draft: int) -> str:
        return render_to_string("caseboard/blank_print.html", {"sheet": drafts[draft]})

    unknown = [0.0] * len(drafts)  # few drafts: tried one after the other
    return html_to_pdf_fitting(html_of, unknown, room=0.0, paper=paper).pdf


# -- the farrier's day


@dataclass(frozen=True)
class RoundFoot:
    foot: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class RoundHorse:
    name: str
    yard: str
    owner: str
    phone: str
    shoeing: str
    last_trim: str
    feet: tuple[RoundFoot, ...]
    flags: tuple[str, ...]
    items: tuple[str, ...]
    more_items: int


def round_for(person: Person, on: date, *, today: date) -> list[RoundHorse]:
    """The horses whose visit is planned for that day, with what one needs at each."""
    return [_round_horse(boards, today) for boards in planned_standings(person, on)]


def _round_horse(boards: list[Standing], today: date) -> RoundHorse:
    """One horse from all the boards that the person is on: the work may stand on a concern."""
    standing = boards[0]
    horse, person = standing.horse, standing.person
    numbers = numbers_of(horse, today=today)
    owner = next((m.person for m in team_for(standing) if m.role == Role.OWNER), None)
    trims = [days[-1] for days in numbers.trims.values() if days]
    plan = [line for board in boards for line in plan_for(board, open_only=True)]
    lines = [line for line in plan if line.version.who_does == Role.FARRIER]
    flags = [flag for board in boards for flag in open_flags_for(board)]
    return RoundHorse(
        name=cut(horse.name, 28),
        yard=cut(horse.yard, SHORT),
        owner=cut(str(owner), 40) if owner else "",
        phone=owner.phone if owner else "",
        shoeing=numbers.shoes.short,
        last_trim=f"{max(trims):%-d %b %Y}" if trims else "",
        feet=tuple(RoundFoot(foot.value, _values(person, numbers, foot.value)) for foot in Foot),
        flags=tuple(cut(", ".join(f.sign_words), SHORT) for f in flags[:2]),
        items=tuple(
            f"{line.item.number}. {cut(line.version.text, ROUND_LETTERS)}"
            + ("" if line.state.is_agreed else " (not agreed yet)")
            for line in lines[:ROUND_ITEMS]
        ),
        more_items=max(0, len(lines) - ROUND_ITEMS),
    )


def _values(person: Person, numbers: Numbers, foot: str) -> tuple[str, ...]:
    """The last values just after a trim, or the newest there are; a dash where there is none."""
    found = []
    for quantity in ROUND_VALUES:
        reading = numbers.latest_before(foot, quantity, TrimState.AFTER)
        reading = reading or numbers.latest(foot, quantity)
        found.append(entered_words(reading, person.length_unit) if reading else "–")
    return tuple(found)


def round_pdf(person: Person, on: date, *, paper: Paper, today: date) -> bytes:
    """The day on paper: a page for every six horses."""
    horses = round_for(person, on, today=today)
    pages = [horses[n : n + HORSES_A_PAGE] for n in range(0, len(horses), HORSES_A_PAGE)] or [[]]
    shown = {"pages": pages, "on": on, "person": person, "count": len(horses), "today": today}
    return html_to_pdf(render_to_string("caseboard/round_print.html", shown), paper=paper)
