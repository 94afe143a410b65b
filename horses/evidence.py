"""The numbers behind an alert as tables that people can read. Pure.

An alert's evidence is kept as plain values under short English keys, each rule its own. Nothing is
left out for want of a label: an unknown key is shown with its own name in words.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from caseboard.lib.words import FEET
from horses.wording import day_words, foot_words, sentence_case

Evidence = Mapping[str, Any]

# Ids for the program, and what the page says elsewhere.
NOT_SHOWN = frozenset({"reading", "flag", "verdict", "rule", "key", "state", "lead"})
# What the finding does not mistake for a change, in a table of its own.
ALLOWED_FOR = {
    "growth_per_56_days": "Growth, over 8 weeks",
    "detectable_change": "Smallest change that these methods can see",
    "size_sd": "Measuring error (one standard deviation)",
    "exceeds_error": "More than the measuring error",
    "mixed_methods": "Measured in two different ways",
    "interval_days": "Usual time between trims",
    "interval_sd_days": "How much that varies",
    "doubtful": "Readings that count less",
    "readers": "People and methods that measured",
    "shoeing_changes": "Changes of shoeing",
    "planned": "Planned movement taken out",
}
LABELS = {
    "alarm_on": "First to be seen on",
    "answered_by_same_side": "Answered by the same side",
    "band_high": "Band, upper end",
    "band_low": "Band, lower end",
    "chance": "Chance",
    "edge": "Leaves the band",
    "findings": "What each measurement shows",
    "forecasts": "If nothing changes",
    "earliest_on": "Earliest",
    "high": "Band, upper end",
    "last_trim_on": "Last trim",
    "latest_on": "Latest",
    "likely_on": "Most likely",
    "low": "Band, lower end",
    "leaves_earliest_on": "Leaves the band, earliest",
    "leaves_latest_on": "Leaves the band, latest",
    "leaves_likely_on": "Leaves the band, most likely",
    "level": "Level now, growth taken out",
    "level_high": "Level, at most",
    "level_low": "Level, at least",
    "limit": "Strength of the evidence that is needed",
    "margin": "Past the threshold by",
    "moment": "The band holds",
    "outside_chance": "Chance that it is outside already",
    "past_edge": "Past the edge by",
    "planned_on": "Planned for",
    "raised_at": "Raised",
    "rate_high": "Change per visit, at most",
    "rate_low": "Change per visit, at least",
    "rate_per_visit": "Change per visit",
    "quantity": "What is measured",
    "since_earliest_on": "Since, earliest",
    "since_latest_on": "Since, latest",
    "since_on": "Since about",
    "size": "Amount found",
    "statistic": "Strength of the evidence",
    "taken_by": "By",
    "taken_on": "Day",
    "trim_state": "Trim",
    "visits_needed": "Visits needed to say anything",
    "visits_seen": "Visits looked at",
}
WORDS = {
    "after": "after the trim",
    "before": "before the trim",
    "between": "between trims",
    "end": "at the end of the cycle",
    "high": "at the upper end",
    "low": "at the lower end",
    "now": "phone the vet now",
}
# Values in the unit of the quantity that they belong to.
IN_UNIT = frozenset(
    [
        "value",
        "band_low",
        "band_high",
        "past_edge",
        "rate_per_visit",
        "rate_low",
        "rate_high",
        "level",
        "level_low",
        "level_high",
        "change",
        "growth_per_56_days",
        "detectable_change",
        "low",
        "high",
    ]
)
UNIT_ENDINGS = {"_deg": "°", "_mm": " mm", "_kg": " kg", "_days": " days", "_ml": " ml"}
CHANCES = frozenset({"chance", "outside_chance"})
MOST_COLUMNS = 4  # house default
A_DAY = re.compile(r"\d{4}-\d\d-\d\d")
A_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT")


@dataclass(frozen=True)
class Row:
    label: str
    value: str


@dataclass(frozen=True)
class Listing:
    """Several of a kind, such as the readings: a title, column heads, rows."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def is_wide(self) -> bool:
        """Too many columns to stand beside each other on a phone."""
        return len(self.columns) > MOST_COLUMNS

    @property
    def paired(self) -> list[list[tuple[str, str]]]:
        """Each row as its own short table: column and cell."""
        return [list(zip(self.columns, row, strict=True)) for row in self.rows]


@dataclass(frozen=True)
class EvidenceShown:
    numbers: tuple[Row, ...]
    allowed: tuple[Row, ...]
    listings: tuple[Listing, ...]


def evidence_shown(evidence: Evidence, person: Any = None) -> EvidenceShown:
    """The numbers, what was allowed for, and the lists, all in words."""
    unit = unit_of(evidence)
    pairs = list(_flat(evidence))
    rows = [
        (key, Row(label_of(key), text))
        for key, value in pairs
        if not _is_listing(value) and (text := value_words(key, value, unit, person))
    ]
    return EvidenceShown(
        numbers=tuple(row for key, row in rows if key not in ALLOWED_FOR),
        allowed=tuple(row for key, row in rows if key in ALLOWED_FOR),
        listings=tuple(
            _listing(key, value, unit, person) for key, value in pairs if _is_listing(value)
        ),
    )


def unit_of(evidence: Evidence) -> str:
    """The unit of the quantity it is about: angles in degrees, everything else in millimetres."""
    quantity = evidence.get("quantity") or evidence.get("lead")
    if not isinstance(quantity, str) or not quantity:
        return ""
    return "°" if quantity.endswith("angle") else " mm"


def _flat(evidence: Evidence) -> Iterator[tuple[str, Any]]:
    """Every value with its own key; a group of values inside another is laid open."""
    for key, value in evidence.items():
        if key in NOT_SHOWN:
            continue
        if isinstance(value, Mapping):
            yield from _flat(value)
        else:
            yield str(key), value


def _is_listing(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, Mapping) for v in value)


def _listing(key: str, items: list[Evidence], unit: str, person: Any) -> Listing:
    columns = list(dict.fromkeys(k for item in items for k, _ in _flat(item)))
    rows = tuple(_cells(item, columns, unit, person) for item in items)
    return Listing(label_of(key), tuple(label_of(column) for column in columns), rows)


def _cells(item: Evidence, columns: list[str], unit: str, person: Any) -> tuple[str, ...]:
    own, values = unit_of(item) or unit, dict(_flat(item))
    return tuple(value_words(column, values.get(column), own, person) for column in columns)


# -- one label, one value


def label_of(key: str) -> str:
    named = ALLOWED_FOR.get(key) or LABELS.get(key)
    if named:
        return named
    for ending in UNIT_ENDINGS:
        key = key.removesuffix(ending)
    return sentence_case(key.removesuffix("_on").replace("_", " ")) or "Value"


def value_words(key: str, value: Any, unit: str = "", person: Any = None) -> str:
    """One value in words with its unit; nothing for none."""
    match value:
        case None | "" | []:
            return ""
        case bool():
            return "yes" if value else "no"
        case int() | float():
            return _number_words(key, value, unit)
        case str():
            return _text_words(value, person)
        case [int() | float() as middle, int() | float() as low, int() | float() as high] if (
            low <= middle <= high
        ):
            middle_words = _number_words(key, middle, unit)
            return f"{middle_words} (likely {_number(low)} to {_number_words(key, high, unit)})"
        case list():
            return ", ".join(filter(None, (value_words(key, v, unit, person) for v in value)))
        case _:
            return str(value)


def _number_words(key: str, value: float, unit: str) -> str:
    if key in CHANCES:
        return f"{value * 100:.0f} %"
    for ending, own in UNIT_ENDINGS.items():
        if key.endswith(ending) and key not in IN_UNIT:
            return _number(value) + own
    return _number(value) + (unit if key in IN_UNIT else "")


def _number(value: int | float) -> str:
    """At most two decimals, without trailing noughts."""
    if isinstance(value, int):
        return str(value)
    text = f"{value:.2f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _text_words(value: str, person: Any) -> str:
    if value in FEET:
        return foot_words(value, person)
    if A_DAY.fullmatch(value) or A_MOMENT.match(value):
        return _moment_words(value)
    return WORDS.get(value, value.replace("_", " "))


def _moment_words(value: str) -> str:
    try:
        if A_DAY.fullmatch(value):
            return day_words(date.fromisoformat(value))
        moment = datetime.fromisoformat(value)
    except ValueError:
        return value
    local = timezone.localtime(moment)
    return f"{day_words(local.date())}, {local:%H:%M}"
