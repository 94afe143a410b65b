"""Makes shorter drafts of one sheet, in a stated order, until one fits the page.

The order: closer set; older charts; all charts; closed items; long texts cut ("see board, item 7");
values without a band, then and now; which way values go; fewer open points and items, what nobody should act on yet and what the vet
leads staying longest. The printed sizes never shrink, and every draft says what it left off. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from caseboard.sheet_doc import Sheet, SheetFoot, SheetItem, SheetValue

# No page holds more of the plan's words than this, however set: such a draft is not tried.
MOST_CHARACTERS = 6500  # house default: about 60 lines of 100 characters
MOST_PEOPLE = 8  # house default: two lines of names
NO_REASON = 110  # characters: an item cut so short goes without its reason; house default
SHORTEST_PERSON = 13  # a line of a mark's column; house default
SHORT_NAME, SHORT_PERSON, SHORT_WORDS = 60, 40, 90  # characters; house defaults


@dataclass(frozen=True)
class Fit:
    """How much of a sheet one draft keeps; None keeps all."""

    dense: bool = True
    charts: int = 2  # a foot
    closed: bool = True
    text: int | None = None  # characters of one item
    plain_values: bool = True
    then: bool = True  # the comparison with the sheet before
    trend: bool = True
    points: int | None = None
    items: int | None = None


COMFORTABLE = Fit(dense=False)
# House defaults, tried on generated plans: each draft is shorter than the one before it.
FITS = (
    COMFORTABLE,
    Fit(),
    Fit(charts=1),
    Fit(charts=0),
    Fit(charts=0, closed=False),
    Fit(charts=0, closed=False, text=500),
    Fit(charts=0, closed=False, text=260),
    Fit(charts=0, closed=False, text=160),
    Fit(charts=0, closed=False, text=160, plain_values=False, then=False, points=6),
    Fit(charts=0, closed=False, text=110, plain_values=False, then=False, points=5, items=24),
    Fit(charts=0, closed=False, text=90, plain_values=False, then=False, points=4, items=20),
    Fit(charts=0, closed=False, text=80, plain_values=False, then=False, points=3, items=16),
    Fit(charts=0, closed=False, text=70, plain_values=False, then=False, trend=False, points=2, items=13),
    Fit(charts=0, closed=False, text=60, plain_values=False, then=False, trend=False, points=2, items=10),
    Fit(charts=0, closed=False, text=50, plain_values=False, then=False, trend=False, points=1, items=8),
    Fit(charts=0, closed=False, text=40, plain_values=False, then=False, trend=False, points=1, items=6),
    Fit(charts=0, closed=False, text=40, plain_values=False, then=False, trend=False, points=0, items=4),
    Fit(charts=0, closed=False, text=30, plain_values=False, then=False, trend=False, points=0, items=2),
)  # fmt: skip


def sheet_drafts(sheet: Sheet) -> list[Sheet]:
    """The same sheet, each draft shorter than the one before; what was left off is said on it."""
    made: list[Sheet] = []
    for fit in FITS:
        draft = fitted(sheet, fit)
        if not made or draft != made[-1]:
            made.append(draft)
    worth_trying = [draft for draft in made if _words_length(draft) <= MOST_CHARACTERS]
    return worth_trying or made[-1:]


def _words_length(sheet: Sheet) -> int:
    texts = [*sheet.open_points, *sheet.closed_items, sheet.outcome_words]
    texts += [item.text + item.reason for item in sheet.items]
    return sum(len(text) for text in texts)


def fitted(sheet: Sheet, fit: Fit) -> Sheet:
    """One draft, with what it leaves off in words."""
    left_off: list[str] = []
    feet = _feet(sheet.feet, fit, left_off)
    closed = sheet.closed_items if fit.closed else ()
    if sheet.closed_items and not closed:
        left_off.append("The items that ended since the last sheet are on the board.")
    if closed:  # one line each
        closed = tuple(cut(text, SHORT_WORDS) for text in closed)
    items = _items(sheet.items, fit, left_off)
    points = sheet.open_points if fit.points is None else sheet.open_points[: fit.points]
    if len(points) < len(sheet.open_points):
        count = len(sheet.open_points) - len(points)
        left_off.append(f"{count} more open point{'s' * (count > 1)} on the board.")
    people = sheet.people
    if fit.text is not None:
        points = tuple(cut(point, max(fit.text * 2, SHORT_WORDS)) for point in points)
        people = tuple(replace(p, name=cut(p.name, SHORT_PERSON)) for p in people[:MOST_PEOPLE])
        if len(sheet.people) > len(people):
            left_off.append(f"{len(sheet.people) - len(people)} more people are on the board.")
    return replace(
        sheet if fit.text is None else _short_names(sheet, fit.text),
        dense=fit.dense,
        feet=feet,
        closed_items=closed,
        items=items,
        open_points=points,
        people=people,
        left_off=tuple(left_off),
    )


def _short_names(sheet: Sheet, limit: int) -> Sheet:
    """Names and titles that would fill lines of their own are cut with the long texts."""
    return replace(
        sheet,
        horse_name=cut(sheet.horse_name, SHORT_NAME),
        case_title=cut(sheet.case_title, SHORT_WORDS),
        horse_words=cut(sheet.horse_words, SHORT_WORDS),
        outcome_words=cut(sheet.outcome_words, max(limit * 2, SHORT_WORDS)),
        grade=cut(sheet.grade, SHORT_WORDS * 2),
        emergency_name=cut(sheet.emergency_name, SHORT_PERSON),
        made_by=cut(sheet.made_by, SHORT_PERSON),
    )


# -- the feet


def _feet(feet: Sequence[SheetFoot], fit: Fit, left_off: list[str]) -> tuple[SheetFoot, ...]:
    had = sum(len(foot.charts) for foot in feet)
    made = tuple(replace(foot, values=tuple(_values(foot, fit))) for foot in feet)
    kept = sum(len(foot.charts) for foot in made)
    if had and not kept:
        left_off.append("The charts are on the board.")
    elif kept < had:
        left_off.append(f"{had - kept} older chart{'s' * (had - kept > 1)} on the board.")
    if sum(len(f.values) for f in made) < sum(len(f.values) for f in feet):
        left_off.append("Measurements without a band are on the board.")
    if any(v.then and not fit.then for f in feet for v in f.values):
        left_off.append("Then and now is on the board.")
    if any(v.trend and not fit.trend for f in feet for v in f.values):
        left_off.append("Which way the values go is on the board.")
    return made


def _values(foot: SheetFoot, fit: Fit) -> list[SheetValue]:
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
    return [value for value in values if value.bands or value.quantity == "toe_angle"]


# -- the plan


def _items(items: Sequence[SheetItem], fit: Fit, left_off: list[str]) -> tuple[SheetItem, ...]:
    kept = list(items)
    if fit.items is not None and len(items) > fit.items:
        first = sorted(items, key=lambda i: (not i.essential, i.agreed, i.number))[: fit.items]
        kept = [item for item in items if item in first]
        gone = [item.number for item in items if item not in first]
        left_off.append(f"Plan {_numbers(gone)} on the board only.")
    if fit.text is None:
        return tuple(kept)
    return tuple(_shortened(item, fit.text) for item in kept)


def _shortened(item: SheetItem, limit: int) -> SheetItem:
    text = cut(item.text, limit)
    reason = cut(item.reason, limit // 2) if limit > NO_REASON else ""
    name = SHORT_PERSON if limit > NO_REASON else SHORTEST_PERSON
    marks = tuple(replace(mark, who=cut(mark.who, name)) for mark in item.marks)
    shortened = text != item.text or reason != item.reason
    return replace(item, text=text, reason=reason, marks=marks, shortened=shortened)


def _numbers(numbers: list[int]) -> str:
    """ "items 3 to 7 and 9 are": runs are told by their ends."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    parts = [f"{r[0]} to {r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs]
    if len(parts) > 6:  # house default: one line
        return f"items from {numbers[0]} to {numbers[-1]} ({len(numbers)} of them) are"
    return (
        f"item{'s' * (len(numbers) > 1)} {', '.join(parts)} {'are' if len(numbers) > 1 else 'is'}"
    )


def cut(text: str, limit: int) -> str:
    return text if len(text) <= limit else text[: limit - 1].rstrip() + "…"
