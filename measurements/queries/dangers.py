"""The dangers of a horse by foot, for every place where somebody is about to cut.

One source for the visit form, the papers of the barn, the day list, the plan sheet and the steps:
what the newest films show (a sole under 15 mm, a palmar angle out of range), what jumped and is to be
measured again, and what the plans say of the cutting. The thresholds and their sources: measurements/hoof/films.py and shape.py. Here a
value counts as it was read: measuring error is no reason to keep a thin sole from who cuts.

Decided 2026-11: what must be known before somebody cuts comes from this one place (the plan's part
from horses/domain/cut_items.py). No draft of a paper leaves off what the films say.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import cast

from caseboard.lib.words import FEET, foot_code, foot_label
from horses.access import CaseAccess
from horses.domain.cut_items import CutItem
from horses.domain.wording import day_words
from horses.models import Person
from horses.queries.cutting import cut_items_for
from horses.queries.plan_lines import PlanLine
from measurements.hoof.feet import Foot, is_fore
from measurements.hoof.films import STEEP_PALMAR_ANGLE_DEG, VERY_THIN_SOLE_MM
from measurements.hoof.quantities import QUANTITIES
from measurements.hoof.shape import NEGATIVE_PALMAR_ANGLE_DEG, THIN_SOLE_MM
from measurements.hoof.units import Unit, format_value
from measurements.queries.films import FILMED, SOLE, Readings, age_words, film_of
from measurements.queries.jumps import JumpSeen, jumps_standing
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.wording import entered_words, value_words

ASK = "ask the vet before you cut"
MOST_AGAIN = 2  # jumps that a paper has room for, a foot or a horse of the day; house default
RING = "ring the vet before you cut"


@dataclass(frozen=True)
class FilmDanger:
    """One film that must be known before the foot is cut."""

    foot: str
    reading: ReadingValue

    @property
    def value(self) -> float:
        return float(self.reading.value)

    @property
    def is_sole(self) -> bool:
        return self.reading.quantity == SOLE

    @property
    def is_very_thin(self) -> bool:
        return self.is_sole and self.value < VERY_THIN_SOLE_MM

    def short(self, length_unit: str) -> str:
        """ "sole 7 mm", "palmar angle −4.5°": for paper."""
        if self.is_sole:
            return f"sole {sole_words(self.value, length_unit)}"
        name = "palmar" if is_fore(Foot(self.foot)) else "plantar"
        return f"{name} angle {value_words(self.reading.quantity, self.value)}"

    def words(self, length_unit: str, today: date) -> str:
        """ "Sole 7 mm on the film of 3 Sep 2026, 8 weeks ago: under 10 mm, ring the vet ..."."""
        on = self.reading.taken_on
        age = f", {age_words(on, today)}" if on < today else ""
        film = f"on the film of {on:%-d %b} {on.year}{age}"
        short = self.short(length_unit)
        return f"{short[0].upper()}{short[1:]} {film}: {self._so(length_unit)}."

    def _so(self, length_unit: str) -> str:
        if self.is_very_thin:
            return f"under {sole_words(VERY_THIN_SOLE_MM, length_unit)}, {RING}"
        if self.is_sole:
            return f"under {sole_words(THIN_SOLE_MM, length_unit)}, take no sole, {ASK}"
        if self.value < NEGATIVE_PALMAR_ANGLE_DEG:
            return f"the coffin bone is below level, {ASK}"
        return f"over {STEEP_PALMAR_ANGLE_DEG:g}°, {ASK}"


@dataclass(frozen=True)
class Dangers:
    """All of one horse that this person may read."""

    films: tuple[FilmDanger, ...]
    items: tuple[CutItem, ...]
    jumps: tuple[JumpSeen, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.films or self.items or self.jumps)

    def films_of(self, foot: str) -> list[FilmDanger]:
        return [danger for danger in self.films if danger.foot == foot]

    def lines_of(self, foot: str, person: Person, today: date) -> list[str]:
        """What stands beside one foot: its numbers, then the plan's items that name it."""
        named = [i for i in self.items if foot in i.feet and not i.is_of_all]
        return [*self.numbers_of(foot, person, today), *(item_words(item) for item in named)]

    def numbers_of(
        self, foot: str, person: Person, today: date, *, most_again: int | None = None
    ) -> list[str]:
        """What the films of one foot show, and what is to be measured again there; on paper
        `most_again` of it, and how much more there is."""
        films = [danger.words(person.length_unit, today) for danger in self.films_of(foot)]
        again = again_lines(self.jumps, foot, person.length_unit)
        more = more_again(len(again), most_again)
        return [*films, *again[:most_again], *more]

    @property
    def of_all(self) -> list[str]:
        """What the plan says of all four feet."""
        return [item_words(item) for item in self.items if item.is_of_all]

    def thin_sole(self, foot: str) -> FilmDanger | None:
        return next((danger for danger in self.films_of(foot) if danger.is_sole), None)


def dangers_for(
    access: CaseAccess,
    numbers: Numbers,
    *,
    today: date,
    plan: Sequence[PlanLine] | None = None,
) -> Dangers:
    """The dangers of the horse that the access is to, from all its boards that the person is on.

    `plan`: the open lines of this board, where they were read already.
    """
    items = cut_items_for(access, today=today, plan=plan)
    jumps = tuple(jumps_standing(numbers, today))
    return Dangers(film_dangers(numbers.readings), items, jumps)


def again_lines(jumps: Sequence[JumpSeen], foot: str, length_unit: str) -> list[str]:
    """ "Toe angle 51.5°, then 41° on 28 Nov 2026: measure again.", a line a jump of this foot."""
    return [f"{_jump_words(seen, length_unit)}." for seen in jumps if seen.start.foot == foot]


def more_again(count: int, most: int | None) -> list[str]:
    """ "3 more to measure again: see the board.", where not all have room."""
    more = count - most if most is not None else 0
    return [f"{more} more to measure again: see the board."] if more > 0 else []


def again_tight(jumps: Sequence[JumpSeen], person: Person) -> str:
    """The first of them where there is little room: "RF toe angle 51.5°, then 41° on 28 Nov 2026: measure
    again."; "" for none."""
    said = [
        f"{foot_code(seen.start.foot, person)} {_uncapped(_jump_words(seen, person.length_unit))}"
        for seen in jumps[:MOST_AGAIN]
    ]
    if not said:
        return ""
    return " ".join([f"{'; '.join(said)}.", *more_again(len(jumps), MOST_AGAIN)])


def _jump_words(seen: JumpSeen, length_unit: str) -> str:
    """From where to where and what to do: who measured again does not do it a third time."""
    start, on = seen.start, seen.start.taken_on
    label = QUANTITIES[start.quantity].label_on(Foot(start.foot))
    was, now = (entered_words(row, length_unit) for row in (seen.earlier, start))
    todo = "measured again and the same, ring the vet" if seen.again else "measure again"
    return f"{label[:1].upper()}{label[1:]} {was}, then {now} on {on:%-d %b} {on.year}: {todo}"


def _uncapped(words: str) -> str:
    return words[:1].lower() + words[1:]


def film_dangers(readings: Readings) -> tuple[FilmDanger, ...]:
    """By foot, soles first. `readings` as in `Numbers`; any series but films may be left out."""
    found = []
    for foot in FEET:
        for quantity in FILMED:
            film = film_of(readings, foot, quantity)
            if film is not None and is_danger(quantity, float(film.value)):
                found.append(FilmDanger(foot, film))
    return tuple(found)


def is_danger(quantity: str, value: float) -> bool:
    if quantity == SOLE:
        return value < THIN_SOLE_MM
    return not NEGATIVE_PALMAR_ANGLE_DEG <= value <= STEEP_PALMAR_ANGLE_DEG


def films_short(films: Sequence[FilmDanger], person: Person, today: date) -> list[str]:
    """A line a film day: "Left fore sole 7 mm, palmar angle −4.5°; right fore sole 8 mm (film
    3 Sep 2026, 8 weeks ago): ring the vet before you cut."."""
    names = {foot: foot_label(foot, person) for foot in FEET}
    return [
        f"{_sentence(_by_foot(found, person, names))} (film {on:%-d %b} {on.year}, "
        f"{age_words(on, today)}): {_advice(found)}."
        for on, found in _by_day(films)
    ]


def _sentence(parts: Sequence[str]) -> str:
    words = "; ".join(parts)
    return words[:1].upper() + words[1:]


def films_tight(films: Sequence[FilmDanger], person: Person) -> str:
    """All of them where there is little room: "LF sole 7 mm, palmar −4.5°; RF sole 8 mm (3 Sep 2026):
    ring the vet before you cut."; "" for none."""
    if not films:
        return ""
    days = "; ".join(
        f"{'; '.join(_by_foot(found, person, {foot: foot for foot in FEET}))} ({day_words(on)})"
        for on, found in _by_day(films)
    ).replace(" angle ", " ")
    return f"{days}: {_advice(films)}."


def _by_day(films: Sequence[FilmDanger]) -> list[tuple[date, list[FilmDanger]]]:
    """The newest films first."""
    by_day: dict[date, list[FilmDanger]] = {}
    for film in films:
        by_day.setdefault(film.reading.taken_on, []).append(film)
    return sorted(by_day.items(), key=lambda day: day[0], reverse=True)


def _by_foot(films: Sequence[FilmDanger], person: Person, names: Mapping[str, str]) -> list[str]:
    by_foot: dict[str, list[str]] = {}
    for film in films:
        by_foot.setdefault(film.foot, []).append(film.short(person.length_unit))
    return [f"{names[foot]} {', '.join(said)}" for foot, said in by_foot.items()]


def _advice(films: Sequence[FilmDanger]) -> str:
    """ "ring the vet before you cut", as the worst of them asks."""
    return RING if any(film.is_very_thin for film in films) else ASK


def item_words(item: CutItem) -> str:
    """ "Plan item 3: no wedges. (Not agreed yet.)"."""
    text = item.text.strip()
    end = "" if text.endswith((".", "!", "?")) else "."
    return f"Plan item {item.number}: {text}{end}{'' if item.agreed else ' (Not agreed yet.)'}"


def sole_words(depth_mm: float, length_unit: str) -> str:
    """To a tenth of a millimetre, so that 14.6 never reads as 15; whole ones without a nought."""
    unit = cast(Unit, "mm" if length_unit == "cm" else length_unit)
    return format_value(Decimal(str(depth_mm)), "mm", unit, 1).replace(".0 mm", " mm")


def by_horse(rows: Sequence[ReadingValue]) -> Mapping[int, tuple[FilmDanger, ...]]:
    """The film dangers of many horses from their film readings, oldest first."""
    series: dict[int, dict[tuple[str, str], list[ReadingValue]]] = {}
    for row in rows:
        series.setdefault(row.horse_id, {}).setdefault((row.foot, row.quantity), []).append(row)
    return {horse_id: film_dangers(readings) for horse_id, readings in series.items()}
