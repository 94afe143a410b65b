"""Makes shorter drafts of one sheet, step by step (`plan_steps.py`), until one fits the page.

What nobody should act on keeps its number in the warning though the item itself be left off. The
printed sizes never shrink, and every draft says what it left off. Pure.
"""

from collections.abc import Sequence
from dataclasses import replace

from caseboard.lib.spans import counted, one_or
from caseboard.lib.words import items_words
from caseboard.sheets.cut_words import cut_words
from caseboard.sheets.plan_kept import Words, points_kept
from caseboard.sheets.plan_kept import cut as cut  # the barn sheets cut alike
from caseboard.sheets.plan_kept import short_name as short_name
from caseboard.sheets.plan_sides import sides_fitted, without_sides
from caseboard.sheets.plan_steps import FITS, PlanFit
from caseboard.sheets.plan_value import (
    ROLE_ORDER,
    Sheet,
    SheetFoot,
    SheetItem,
    SheetPerson,
    SheetValue,
)
from caseboard.sheets.warning_cut import warning_cut

MOST_PEOPLE = 8  # house default: two lines of names
MOST_CUTTING = 4  # warnings of the plan in the first lines; house default
MOST_SIGNERS = 4  # house default: places to sign in one row
ALWAYS = ("toe_angle", "heel_angle", "sole_depth", "palmar_angle")  # without a band too
NO_REASON = 110  # characters: an item cut so short goes without its reason; house default
DECISION_LETTERS = 20  # "asks for a change: ", said before a name
SHORTEST_PERSON = 13  # a line of a mark's column; house default
SHORT_NAME, SHORT_PERSON, SHORT_WORDS = 60, 40, 90  # characters; house defaults
ONE_LINE = (15, 18, 36)  # the horse's name, a person's, other words: each one line of wide letters
ONE_TITLE = 22
BARE, SHORT_PHONE, SHORTEST, LITTLE = 40, 24, 18, 12  # the same on the last drafts; house defaults


def sheet_drafts(sheet: Sheet) -> list[Sheet]:
    """The same sheet, each draft shorter than the one before; what was left off is said on it.

    The last holds a bounded number of words, whatever the sheet holds.
    """
    made: list[Sheet] = []
    for fit in FITS:
        draft = fitted(sheet, fit)
        if not made or draft != made[-1]:
            made.append(draft)
    return made


def fitted(sheet: Sheet, fit: PlanFit) -> Sheet:
    """One draft, with what it leaves off in words."""
    left_off: list[str] = []
    feet, scale = _sides(_feet(sheet.feet, fit, left_off), fit, left_off)
    closed = _closed(sheet.closed_items, fit, left_off)
    items = _items(sheet.items, fit, left_off)
    kept = {item.number for item in items}
    gone = [item for item in sheet.items if item.number not in kept]
    urgent, points = _points(sheet, fit, left_off)
    draft = replace(
        sheet if fit.text is None else _short_names(sheet, fit),
        dense=fit.dense,
        roomy=fit.roomy,
        large=fit.large and bool(scale),
        side_scale=scale,
        feet=feet,
        closed_items=closed,
        items=items,
        open_gone=tuple(item.number for item in gone if not item.agreed),
        hold_gone=tuple(item.number for item in gone if item.is_on_hold),
        open_points=points,
        urgent_points=urgent,
        before_cutting=_before_cutting(sheet, fit, left_off),
        people=_people(sheet, fit, left_off),
        signers=_signers(sheet, fit, left_off),
    )
    if fit.text is not None and any(cut_words(draft)):
        left_off.append("Where “…” stands, more is on the board.")
    return replace(draft, left_off=tuple(left_off))


def _points(sheet: Sheet, fit: PlanFit, left_off: list[str]) -> tuple[Words, Words]:
    """What is wrong: the urgent points, and the others."""
    urgent, points, count = points_kept(sheet.urgent_points, sheet.open_points, fit.points)
    if count and not (urgent or points):  # never "nothing is wrong"
        points = (f"{counted(count, 'open point')}: on the board only.",)
    elif count:
        left_off.append(f"{counted(count, 'more open point')} on the board.")
    limit = None if fit.text is None else max(fit.text * 2, SHORT_WORDS)
    return _all_cut(urgent, limit), _all_cut(points, limit)


def _all_cut(texts: Words, limit: int | None) -> Words:
    return texts if limit is None else tuple(cut(text, limit) for text in texts)


def _before_cutting(sheet: Sheet, fit: PlanFit, left_off: list[str]) -> Words:
    """What the plan says to who cuts; what the films say is never left off or cut."""
    if fit.text is None:
        return sheet.before_cutting
    kept = sheet.before_cutting[: 1 if fit.bare else MOST_CUTTING]
    count = len(sheet.before_cutting) - len(kept)
    if count:
        left_off.append(f"{count} more to know before you cut: on the board.")
    limit = BARE if fit.bare else SHORT_WORDS
    return tuple(warning_cut(words, limit) for words in kept)


def _closed(closed: Sequence[str], fit: PlanFit, left_off: list[str]) -> Words:
    """The items that ended: one line each, or none at all."""
    if not fit.closed:
        if closed:
            left_off.append("The items that ended since the last sheet are on the board.")
        return ()
    if any(len(text) > SHORT_WORDS for text in closed):
        left_off.append("Ended items are in full on the board.")
    return tuple(cut(text, SHORT_WORDS) for text in closed)


# -- who


def _people(sheet: Sheet, fit: PlanFit, left_off: list[str]) -> tuple[SheetPerson, ...]:
    if fit.text is None:
        return sheet.people
    people = _of_each_role(sheet.people, len(ROLE_ORDER) if fit.bare else MOST_PEOPLE)
    count = len(sheet.people) - len(people)
    if count:
        left_off.append(f"{count} more {'people are' if count > 1 else 'person is'} on the board.")
    name = SHORTEST if fit.bare else SHORT_PERSON
    return tuple(
        replace(
            p,
            role=cut(p.role, SHORTEST),
            name=cut(p.name, name),
            phone=whole_phone(p.phone, narrow=fit.bare),
        )
        for p in people
    )


def _signers(sheet: Sheet, fit: PlanFit, left_off: list[str]) -> tuple[SheetPerson, ...]:
    """As many as can sign beside each other, of every role first."""
    signers = _of_each_role(sheet.signers, MOST_SIGNERS)
    count = len(sheet.signers) - len(signers)
    if count:
        left_off.append(
            f"{count} more {'people have' if count > 1 else 'person has'} to sign elsewhere."
        )
    if fit.text is None:
        return signers
    name = LITTLE if fit.bare else SHORT_PERSON
    return tuple(replace(p, role=cut(p.role, SHORTEST), name=cut(p.name, name)) for p in signers)


def whole_phone(number: str, *, narrow: bool) -> str:
    """A number is whole or on the board: half of one calls somebody else."""
    return "see board" if narrow and len(number) > SHORT_PHONE else number


def _of_each_role(people: Sequence[SheetPerson], most: int) -> tuple[SheetPerson, ...]:
    """So many of them, the first of every role before a second one; in the order they came in."""
    seen: dict[str, int] = {}
    turns = []
    for place, person in enumerate(people):
        seen[person.role] = seen.get(person.role, 0) + 1
        turns.append((seen[person.role], place))
    places = sorted(place for _, place in sorted(turns)[:most])
    return tuple(people[place] for place in places)


def _short_names(sheet: Sheet, fit: PlanFit) -> Sheet:
    """Names and titles that would fill lines of their own are cut with the long texts."""
    limit = BARE if fit.bare else max((fit.text or 0) * 2, SHORT_WORDS)
    name, person, words = ONE_LINE if fit.bare else (SHORT_NAME, SHORT_PERSON, SHORT_WORDS)
    return replace(
        sheet,
        horse_name=cut(sheet.horse_name, name),
        case_title=cut(sheet.case_title, ONE_TITLE if fit.bare else words),
        horse_words=cut(sheet.horse_words, words),
        identity=cut(sheet.identity, words),
        shoeing=cut(sheet.shoeing, words),
        since=cut(sheet.since, SHORT_PERSON) if fit.then else "",  # then and now is gone
        outcome=cut(sheet.outcome, SHORT_PERSON),
        outcome_words=cut(sheet.outcome_words, limit),
        outcome_numbers=cut(sheet.outcome_numbers, BARE if fit.bare else SHORT_WORDS),
        grade=cut(sheet.grade, words if fit.bare else SHORT_WORDS * 2),
        next_visit=cut(sheet.next_visit, SHORT_PERSON),
        emergency_name=cut(sheet.emergency_name, person),
        emergency_phone=whole_phone(sheet.emergency_phone, narrow=fit.bare),
        danger=cut(sheet.danger, BARE if fit.bare else SHORT_WORDS * 2),
        made_by=cut(sheet.made_by, person),
    )


# -- the feet


def _feet(feet: Sequence[SheetFoot], fit: PlanFit, left_off: list[str]) -> tuple[SheetFoot, ...]:
    had = sum(len(foot.charts) for foot in feet)
    made = tuple(_foot(foot, fit) for foot in feet)
    kept = sum(len(foot.charts) for foot in made)
    if had and not kept:
        left_off.append("The charts are on the board.")
    elif kept < had:
        left_off.append(f"{counted(had - kept, 'older chart')} on the board.")
    _say_values(feet, made, left_off)
    if any(v.then and not fit.then for f in feet for v in f.values):
        left_off.append("Then and now is on the board.")
    if any(v.trend and not fit.trend for f in feet for v in f.values):
        left_off.append("Which way the values go is on the board.")
    return made


def _sides(
    feet: tuple[SheetFoot, ...], fit: PlanFit, left_off: list[str]
) -> tuple[tuple[SheetFoot, ...], str]:
    if fit.sides:
        return sides_fitted(feet, large=fit.large)
    if any(foot.side for foot in feet):
        left_off.append("The feet from the side are on the board.")
    return without_sides(feet), ""


def _foot(foot: SheetFoot, fit: PlanFit) -> SheetFoot:
    values = _values(foot, fit)
    if fit.values is not None:
        first = sorted(values, key=lambda value: not value.bands)[: fit.values]
        values = [value for value in values if value in first]
    if fit.bands is not None:
        values = [replace(value, bands=value.bands[: fit.bands]) for value in values]
    if fit.text is not None:
        words = LITTLE if fit.bare else SHORT_PERSON
        said = BARE + LITTLE if fit.bare else SHORT_WORDS  # a band with its moment
        values = [
            replace(
                value,
                label=cut(value.label, words),
                value=cut(value.value, SHORTEST),
                when=cut(value.when, words * 2),
                trend=cut(value.trend, SHORT_WORDS),
                bands=tuple(replace(b, words=cut(b.words, said)) for b in value.bands),
            )
            for value in values
        ]
        foot = replace(
            foot,
            label=cut(foot.label, SHORTEST),
            shoeing="" if fit.bare else cut(foot.shoeing, words),
        )
    return replace(foot, values=tuple(values))


def _say_values(feet: Sequence[SheetFoot], made: Sequence[SheetFoot], left_off: list[str]) -> None:
    """Which measurements and bands are not there, in words."""
    plain = banded = bands = 0
    for before, after in zip(feet, made, strict=True):
        kept = {value.quantity: value for value in after.values}
        for value in before.values:
            if value.quantity not in kept:
                plain, banded = plain + (not value.bands), banded + bool(value.bands)
            elif len(value.bands) > len(kept[value.quantity].bands):
                bands += len(value.bands) - len(kept[value.quantity].bands)
    if plain:
        left_off.append("Measurements without a band are on the board.")
    if banded:
        left_off.append(f"{counted(banded, 'more measurement')} with a band on the board.")
    if bands:
        left_off.append(f"{counted(bands, 'more band')} on the board.")


def _values(foot: SheetFoot, fit: PlanFit) -> list[SheetValue]:
    """Of the charts the ones measured last stay; of two alike the one with a band."""
    charted = [value for value in foot.values if value.chart]
    charted.sort(key=lambda value: (value.on, bool(value.bands)), reverse=True)
    kept = {value.quantity for value in charted[: fit.charts]}
    values = [
        value if value.quantity in kept else replace(value, chart=None) for value in foot.values
    ]
    if not fit.then:
        values = [replace(value, then="", changed=False) for value in values]
    if not fit.trend:
        values = [replace(value, trend="") for value in values]
    if fit.plain_values:
        return values
    return [value for value in values if value.bands or value.quantity in ALWAYS]


# -- the plan


def _items(items: Sequence[SheetItem], fit: PlanFit, left_off: list[str]) -> tuple[SheetItem, ...]:
    kept = list(items)
    if fit.items is not None and len(items) > fit.items:
        first = sorted(items, key=lambda i: (not i.essential, i.agreed, i.number))[: fit.items]
        numbers = {item.number for item in first}
        kept = [item for item in items if item.number in numbers]
        gone = [item.number for item in items if item.number not in numbers]
        verb = one_or(len(gone), "is", "are")
        left_off.append(f"Plan {items_words(gone)} {verb} on the board only.")
    if fit.text is None:
        return tuple(kept)
    return tuple(_shortened(item, fit.text) for item in kept)


def _shortened(item: SheetItem, limit: int) -> SheetItem:
    text = cut(item.text, limit)
    reason = cut(item.reason, limit // 2) if limit > NO_REASON else ""
    name = SHORT_PERSON if limit > NO_REASON else SHORTEST_PERSON
    marks = tuple(
        replace(
            mark,
            who=short_name(mark.who, name),
            others=tuple(cut(said, name + DECISION_LETTERS) for said in mark.others),
        )
        for mark in item.marks
    )
    shortened = text != item.text or reason != item.reason
    return replace(
        item,
        text=text,
        reason=reason,
        marks=marks,
        shortened=shortened,
        who_does=cut(item.who_does, SHORTEST),
        until=cut(item.until, SHORTEST),
    )
