"""Barefoot or shod: what the team knows of one horse, and what speaks for either. Decides nothing."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from caseboard.lib.own_lengths import own_lengths
from caseboard.lib.spans import counted
from caseboard.lib.words import own_sides, plan_text
from horses.access import CaseAccess
from horses.domain.shoe_state import Shoes
from horses.domain.wording import day_words, foot_words, listed, sentence_case
from horses.models import Flag, Horse, Person, Shoeing, Soundness
from horses.queries.board import flags_for, soundness_for
from horses.queries.plan_lines import plan_for
from horses.queries.shoes import seen_last
from measurements.hoof.feet import Foot
from measurements.hoof.shape import THIN_SOLE_MM
from measurements.hoof.wear import Stretch, Wear, wear_of
from measurements.panels.considerations import (
    BARE,
    BOTH,
    PRACTICE,
    SHOD,
    Consideration,
    Weighed,
    considerations,
    grade_words,
)
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.verdicts.bands import band_words
from measurements.wording import (
    band_range_words,
    entered_words,
    foot_quantity,
    shown_unit,
    value_words,
)

GROWTH_SOURCE = "growth of 6 to 10 mm a month: The Veterinary Care of the Horse, p. 196"
SORE = frozenset({"sore_stones", "short_stride", "lame"})
LOOK_BACK = timedelta(days=365)  # house default: ground and work of the last year


@dataclass(frozen=True)
class Fact:
    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Worksheet:
    facts: tuple[Fact, ...]
    considerations: tuple[Consideration, ...]
    vets_open: tuple[str, ...]  # the vet's items and bands that stand, in words

    def on(self, side: str) -> list[Consideration]:
        return [c for c in self.considerations if c.side == side]

    @property
    def sides(self) -> list["Side"]:
        titles = {BARE: "For barefoot", SHOD: "For shoes", BOTH: "Either way"}
        return [Side(title, self.on(side)) for side, title in titles.items()]

    @property
    def practice(self) -> str:
        return PRACTICE


@dataclass(frozen=True)
class Side:
    """One column: what touches this horse, and the rest of the trade's rules."""

    title: str
    lines: list[Consideration]

    @property
    def here(self) -> list[Consideration]:
        return [line for line in self.lines if line.here]

    @property
    def rest(self) -> list[Consideration]:
        return [line for line in self.lines if not line.here]


def worksheet_for(access: CaseAccess, numbers: Numbers, today: date) -> Worksheet:
    horse = access.horse
    wear = {foot.value: w for foot in Foot if (w := toe_wear(numbers, foot.value))}
    sore, lame = _sore_flags(access, today), _lame(access, today)
    vets_open = tuple(_vets_open(access, numbers))
    soles = _soles(numbers, access.person)
    facts = (
        Fact("Shoes now", (sentence_case(own_sides(numbers.shoes.words, access.person)),)),
        Fact("Sore or lame, and on which ground", tuple(_soreness(access, sore, today))),
        Fact("Sole, as filmed", tuple(soles) or ("Not filmed: how thick it is nobody knows.",)),
        Fact("Wear against growth", tuple(_wear_lines(wear, numbers.shoes, access.person))),
        Fact("Wear and landing, as last seen", tuple(_seen_lines(access))),
        Fact("Work, footing, turnout", (_life(horse),)),
        Fact(
            "Under the vet’s direction",
            vets_open or ("Nothing of the vet’s stands on this plan, and no band.",),
        ),
    )
    weighed = Weighed(
        horse,
        access.person,
        wear,
        tuple(sore),
        tuple(lame),
        vets_open,
        _thin(numbers, access.person),
    )
    return Worksheet(facts, considerations(weighed), vets_open)


def toe_wear(numbers: Numbers, foot: str) -> Wear | None:
    """From each length left after a trim to the length found before the next, bare all the while.

    None for a foot that is shod now or never was known to be bare: under a shoe nothing wears.
    """
    now = numbers.shoes.feet.get(foot)
    if now is not None and now.is_shod:
        return None
    stretches: list[Stretch] = []
    left = None
    for row in numbers.readings.get((foot, "toe_length"), []):
        if _shoeing(numbers, row) != Shoeing.BAREFOOT:
            left = None
        elif row.trim_state == "after":
            left = row
        elif row.trim_state == "before" and left is not None:
            days = (row.taken_on - left.taken_on).days
            stretches.append(Stretch(float(left.value), float(row.value), float(days)))
            left = None
    return wear_of(stretches)


def _shoeing(numbers: Numbers, row: ReadingValue) -> str:
    return row.shoeing or numbers.shoeing_on(row.foot, row.taken_on, row.trim_state)


def _vets_open(access: CaseAccess, numbers: Numbers) -> Iterator[str]:
    """Everything under the vet's direction: items of this plan, and bands of the horse's others."""
    lines = plan_for(access, open_only=True)
    for line in lines:
        if line.version.therapeutic:
            text = plan_text(line.version, access.person).rstrip(" .")
            yield f"Item {line.item.number}: {text}"
    here = {line.item.pk for line in lines}
    for targets in numbers.targets.values():
        for target in targets:
            item = target.plan_version.item_id if target.plan_version else None
            if target.therapeutic and item not in here:
                unit = shown_unit(target.quantity, access.person.length_unit)
                words = foot_quantity(target.foot, target.quantity)
                yield own_sides(
                    f"{sentence_case(words)}: {band_words(target, unit)}", access.person
                )


def _soles(numbers: Numbers, person: Person) -> list[str]:
    """The newest film of each foot's sole, with its day: an old film says little of today."""
    return [
        f"{sentence_case(foot_words(foot.value, person))}: "
        f"{entered_words(row, person.length_unit)} deep on "
        f"{day_words(row.taken_on)}"
        for foot in Foot
        if (row := numbers.latest(foot.value, "sole_depth"))
    ]


def _thin(numbers: Numbers, person: Person) -> tuple[str, ...]:
    """The feet whose sole is under what one rule wants, on the newest film."""
    newest = {foot.value: numbers.latest(foot.value, "sole_depth") for foot in Foot}
    return tuple(
        foot_words(f, person) for f, row in newest.items() if row and row.value < THIN_SOLE_MM
    )


def _lame(access: CaseAccess, today: date) -> list[Soundness]:
    """Lameness that was graded in the last year, the newest first; the surface may be unknown."""
    return list(soundness_for(access).filter(seen_on__gte=today - LOOK_BACK, grade__gt=0))


def _sore_flags(access: CaseAccess, today: date) -> list[Flag]:
    since = today - LOOK_BACK
    return [f for f in flags_for(access) if SORE & set(f.signs) and f.raised_at.date() >= since]


def _soreness(access: CaseAccess, sore: Sequence[Flag], today: date) -> list[str]:
    lines = []
    for flag in sore[:5]:
        feet = listed(foot_words(f, access.person) for f in flag.feet)
        words = f": {flag.words}" if flag.words else ""
        lines.append(
            f"{day_words(flag.raised_at.date())}, {'; '.join(flag.sign_words)}"
            f"{', ' + feet if feet else ''}{words}"
        )
    graded = soundness_for(access).filter(seen_on__gte=today - LOOK_BACK)
    lines += [grade_words(g) + (f" on {g.surface}" if g.surface else "") for g in graded[:5]]
    return lines or ["Nobody has written down soreness in the last year."]


def _wear_lines(wear: dict[str, Wear], shoes: Shoes, person: Person) -> list[str]:
    shod = [foot_words(foot.value, person) for foot in Foot if foot.value in shoes.shod]
    covered = [f"Shod on the {listed(shod)}: there the shoe wears, not the hoof."] if shod else []
    lines, unit = [], person.length_unit
    for foot, found in wear.items():
        gained = value_words("toe_length", abs(found.gained_mm), unit)
        worn = band_range_words("toe_length", *found.worn_mm, unit)
        change = f"gained about {gained}" if found.gained_mm > 0 else f"lost about {gained}"
        lines.append(
            f"{sentence_case(foot_words(foot, person))}: {change} a month over "
            f"{counted(found.cycles, 'cycle')}; wear took about {worn}."
        )
    if lines:
        return [*covered, *lines, own_lengths(sentence_case(GROWTH_SOURCE) + ".", unit)]
    return covered or [
        "Not known yet: it takes a toe length after one trim and before the next, barefoot."
    ]


def _seen_lines(access: CaseAccess) -> list[str]:
    lines = []
    for foot, (wear, landing) in seen_last(access.horse).items():
        parts = [f"wear {wear}" if wear else "", f"lands {landing}" if landing else ""]
        lines.append(
            f"{sentence_case(foot_words(foot, access.person))}: {', '.join(filter(None, parts))}"
        )
    return lines or ["Not written down at a visit yet."]


def _life(horse: Horse) -> str:
    parts = [
        horse.get_use_display() or "work not said",
        f"{horse.get_footing_display()} footing" if horse.footing else "footing not said",
        f"turnout {horse.get_turnout_display()}" if horse.turnout else "turnout not said",
    ]
    return sentence_case("; ".join(parts)) + "."
