"""What a foot would read at the end of a shorter or longer interval, asked on the series page."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from caseboard.lib.spans import counted
from caseboard.lib.text_safe import SafeCharField
from measurements.hoof.growth import expected_before_trim
from measurements.hoof.quantities import Z_95_TWO_SIDED, Method, Moment
from measurements.models import Target
from measurements.queries.numbers import Numbers
from measurements.series.words import range_words
from measurements.verdicts.bands import band_edges, band_words
from measurements.verdicts.borrowed import borrowed_words
from measurements.verdicts.levels import PresentLevel
from measurements.wording import value_words

FEW_VISITS = 3  # below, even a line through them says nothing
FEWEST_WEEKS, MOST_WEEKS = 1, 26  # house default: beyond half a year the growth is a guess
# Offered to begin with: so much shorter than the horse's own interval. House default.
SHORTER_BY_WEEKS, LEAST_OFFERED = 2, 3
DAYS_IN_WEEK = 7
_WEEKS = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,2})?)\s*(?:weeks?)?")


class WhatIfForm(forms.Form):
    """ "If the interval were ... weeks". Asked by an address, so that it can be sent on."""

    weeks = SafeCharField(
        label="If the interval were",
        max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"required": "How many weeks?"},
    )

    def clean_weeks(self) -> float:
        read = _WEEKS.fullmatch(str(self.cleaned_data["weeks"]).strip().casefold())
        if read is None:
            raise forms.ValidationError("Write a number of weeks, such as 5 or 5.5.")
        weeks = float(read[1].replace(",", "."))
        if not FEWEST_WEEKS <= weeks <= MOST_WEEKS:
            raise forms.ValidationError(
                f"We can say this for {FEWEST_WEEKS} to {MOST_WEEKS} weeks between two trims."
            )
        return weeks


@dataclass(frozen=True)
class Expected:
    """One interval, and what the foot would read at its end."""

    interval: str
    value: str
    likely: str
    bands: tuple[str, ...]


@dataclass(frozen=True)
class WhatIf:
    form: WhatIfForm
    lines: tuple[Expected, ...]
    notes: tuple[str, ...]  # what it leans on where the foot itself says little

    @property
    def is_wrong(self) -> bool:
        return self.form.is_bound and bool(self.form.errors)


def what_if(
    numbers: Numbers,
    foot: str,
    quantity: str,
    level: PresentLevel | None,
    query: Mapping[str, Any],
    unit: str,
) -> WhatIf | None:
    """The horse's own interval, and the one asked for beside it; None without a level."""
    if level is None:
        return None
    own = numbers.horse.interval_days
    form = WhatIfForm(query if "weeks" in query else None, initial={"weeks": _offered(own)})
    ends = [
        target
        for target in numbers.targets.get((foot, quantity), [])
        if target.moment in (Moment.END_OF_CYCLE, Moment.ANY_TIME)
    ]
    lines = [_expected(quantity, level, own, ends, unit, asked=False)]
    if form.is_bound and form.is_valid():
        days = form.cleaned_data["weeks"] * DAYS_IN_WEEK
        lines.append(_expected(quantity, level, days, ends, unit, asked=True))
    return WhatIf(form, tuple(lines), _notes(numbers, foot, quantity, level))


def _notes(numbers: Numbers, foot: str, quantity: str, level: PresentLevel) -> tuple[str, ...]:
    """One reading, few visits, or a growth that was measured on another quantity."""
    rows = numbers.series(foot, quantity)
    what = "film" if rows[-1].method is Method.RADIOGRAPH else "reading"
    one = f"one {what}"
    few = (
        f"It rests on {one}, so this leans on what is usual."
        if len(rows) == 1
        else "Few visits are known so far, so this leans on what is usual."
        if level.visits < FEW_VISITS
        else ""
    )
    return tuple(filter(None, (few, borrowed_words(quantity, level.growth))))


def _offered(own_days: int) -> str:
    return str(max(LEAST_OFFERED, round(own_days / DAYS_IN_WEEK) - SHORTER_BY_WEEKS))


def _expected(
    quantity: str, level: PresentLevel, days: float, ends: list[Target], unit: str, *, asked: bool
) -> Expected:
    mean, _ = expected_before_trim(level.value, 0.0, level.growth, days)
    low = mean - _reach(level, level.value - level.low, days)
    high = mean + _reach(level, level.high - level.value, days)
    return Expected(
        interval=f"Every {interval_words(days)}" + ("" if asked else ", as now"),
        value=value_words(quantity, mean, unit),
        likely=range_words(quantity, low, high, unit),
        bands=tuple(_band_words(target, low, mean, high, unit) for target in ends),
    )


def _reach(level: PresentLevel, half: float, days: float) -> float:
    """How far the 95 % range reaches to one side after growth: `half` is the level's own there."""
    _, sd = expected_before_trim(level.value, half / Z_95_TWO_SIDED, level.growth, days)
    return Z_95_TWO_SIDED * sd


def interval_words(days: float) -> str:
    """ "7 weeks", "5.5 weeks", "45 days"."""
    weeks = days / DAYS_IN_WEEK
    if round(weeks * 2) != weeks * 2:
        return counted(days, "day") if days == int(days) else f"{weeks:.1f} weeks"
    return counted(weeks, "week")


def _band_words(target: Target, low: float, mean: float, high: float, unit: str) -> str:
    edges = band_edges(target)
    first = -math.inf if edges[0] is None else edges[0]
    last = math.inf if edges[1] is None else edges[1]
    if low >= first and high <= last:
        where = "inside"
    elif first <= mean <= last:
        where = "most likely inside"
    else:
        where = "under" if mean < first else "over"
        where = where if high < first or low > last else f"most likely {where}"
    return f"{where} {band_words(target, unit)}"
