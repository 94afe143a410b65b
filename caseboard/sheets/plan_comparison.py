"""Then and now: what changed on each foot since the sheet before, and what became of the goal.

Like is compared with like: a value just after a trim with one just after a trim, so that growth is
not taken for a change. Pure, except for the words of the day.
"""

from dataclasses import replace
from datetime import datetime

from django.utils import timezone

from caseboard.sheets.plan_value import Sheet, SheetFoot, SheetNumber, SheetValue
from measurements.hoof.quantities import mdc95
from measurements.wording import shown_unit, value_words

MOMENTS = ("after", "before")  # the first that both sheets know is compared
MOMENT_WORDS = {"after": "after trim", "before": "before trim"}
Known = dict[tuple[str, str, str], SheetNumber]


def since_words(number: int, issued_at: datetime) -> str:
    return f"sheet {number} of {timezone.localtime(issued_at):%-d %b %Y}"


def with_then(sheet: Sheet, before: Sheet, length_unit: str) -> Sheet:
    """The sheet with what each of its values was on the sheet before."""
    now, then = _known(sheet), _known(before)

    def compared(foot: SheetFoot, value: SheetValue) -> SheetValue:
        for moment in MOMENTS:
            key = (foot.foot, value.quantity, moment)
            if key in now and key in then:
                words, changed = then_words(then[key], now[key], length_unit)
                return replace(value, then=words, changed=changed)
        return value

    feet = tuple(
        replace(foot, values=tuple(compared(foot, value) for value in foot.values))
        for foot in sheet.feet
    )
    return replace(sheet, feet=feet)


def _known(sheet: Sheet) -> Known:
    return {(n.foot, n.quantity, n.moment): n for n in sheet.numbers}


def then_words(then: SheetNumber, now: SheetNumber, length_unit: str) -> tuple[str, bool]:
    """ "was 52°: 1.5° less after trim", and whether that is beyond the two measuring errors."""
    if now.on <= then.on:
        return "not measured since", False
    quantity, change = then.quantity, now.value - then.value
    unit = shown_unit(quantity, length_unit)
    was = value_words(quantity, then.value, unit)
    when = MOMENT_WORDS[now.moment]
    if abs(change) <= mdc95(then.sd, now.sd):
        return f"was {was} {when}: no change beyond the measuring error", False
    way = "less" if change < 0 else "more"
    size = value_words(quantity, abs(change), unit)
    return f"was {was} {when}: {size} {way}, beyond the measuring error", True


def outcome_numbers(sheet: Sheet) -> str:
    """ "3 of 4 bands held at the last measurement; 1 was never measured"; empty without bands."""
    bands = [(value, band) for foot in sheet.feet for value in foot.values for band in value.bands]
    if not bands:
        return ""
    unread = sum("not measured yet" in band.words for _, band in bands)
    held = sum(not band.outside for _, band in bands) - unread
    words = f"{held} of {len(bands)} bands held at the last measurement"
    return f"{words}; {unread} not measured" if unread else words
