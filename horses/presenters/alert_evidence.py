"""The numbers behind an alert as tables that people can read. Pure.

An alert's evidence is kept as plain values under short English keys, each rule its own. Nothing is
left out for want of a label: an unknown key is shown with its own name in words.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from horses.domain.wording import sentence_case
from horses.presenters.alert_evidence_values import UNIT_ENDINGS, clear_words, value_words

Evidence = Mapping[str, Any]

# Ids for the program, and what the page says elsewhere.
NOT_SHOWN = frozenset(
    [
        "reading",
        "flag",
        "plan_item",
        "alert",
        "verdict",
        "rule",
        "key",
        "state",
        "lead",
        "visits_needed",
    ]
)
# What was not there needs no row.
ONLY_WHEN_THERE = frozenset({"doubtful", "readers", "shoeing_changes", "planned", "mixed_methods"})
# A value and the ends of its likely range are one row.
RANGES = {"rate_per_visit": ("rate_low", "rate_high"), "level": ("level_low", "level_high")}
# What the finding does not mistake for a change, in a table of its own.
ALLOWED_FOR = {
    "growth_per_56_days": "What growth does in 8 weeks",
    "detectable_change": "Difference of two readings that error alone explains",
    "size_sd": "Usual measuring error, either way",
    "exceeds_error": "More than measuring error alone",
    "mixed_methods": "Measured in two different ways",
    "interval_days": "Usual time between trims",
    "interval_sd_days": "How much that varies",
    "doubtful": "Readings that look odd and count less",
    "readers": "People and methods that measured",
    "shoeing_changes": "Changes of shoeing",
    "planned": "Movement that was planned is left out",
}
LABELS = {
    "alarm_on": "Looking back, first to be seen on",
    "answered_by_same_side": "Answered by the same side",
    "band_high": "Band, upper end",
    "band_low": "Band, lower end",
    "chance": "Chance",
    "edge": "Leaves the band",
    "findings": "What each measurement shows",
    "forecasts": "If nothing changes",
    "earliest_on": "Earliest",
    "high": "Band, upper end",
    "item": "Plan item",
    "last_taken_on": "Last measured",
    "last_trim_on": "Last trim",
    "latest_on": "Latest",
    "likely_on": "Most likely",
    "low": "Band, lower end",
    "leaves_earliest_on": "Leaves the band, earliest",
    "leaves_latest_on": "Leaves the band, latest",
    "leaves_likely_on": "Leaves the band, most likely",
    "level": "Where it stands now, growth allowed for",
    "items": "Plan items",
    "missing": "No answer yet from",
    "margin": "Past the threshold by",
    "moment": "The band holds",
    "outside_chance": "Chance that it is outside already",
    "past_edge": "Past the edge by",
    "planned_on": "Planned for",
    "raised_at": "Raised",
    "rate_per_visit": "Change per visit",
    "quantity": "What is measured",
    "set_at": "Set",
    "since_earliest_on": "Since, earliest",
    "since_latest_on": "Since, latest",
    "since_on": "Since about",
    "size": "Amount found",
    "statistic": "How clear it is",
    "taken_by": "By",
    "taken_on": "Day",
    "trim_state": "Trim",
    "visits_seen": "Visits looked at",
}
MOST_COLUMNS = 4  # house default


@dataclass(frozen=True)
class EvidenceRow:
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
    numbers: tuple[EvidenceRow, ...]
    allowed: tuple[EvidenceRow, ...]
    listings: tuple[Listing, ...]


def evidence_shown(evidence: Evidence, person: Any = None) -> EvidenceShown:
    """The numbers, what was allowed for, and the lists, all in words."""
    unit = unit_of(evidence)
    pairs = list(_flat(evidence))
    rows = [
        (key, EvidenceRow(label_of(key), text))
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
    """Every value with its own key; nested groups of values are flattened."""
    for key, value in _told(evidence).items():
        if key in NOT_SHOWN or (key in ONLY_WHEN_THERE and not value):
            continue
        if isinstance(value, Mapping):
            yield from _flat(value)
        else:
            yield str(key), value


def _told(evidence: Evidence) -> Evidence:
    """With the strength of the evidence in words, and each range beside its value."""
    told = dict(evidence)
    if clear := clear_words(evidence):
        told["statistic"] = clear
        del told["limit"]
    for key, ends in RANGES.items():
        if all(isinstance(told.get(part), int | float) for part in (key, *ends)):
            told[key] = [told[key], *(told.pop(end) for end in ends)]
    return told


def _is_listing(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, Mapping) for v in value)


def _listing(key: str, items: list[Evidence], unit: str, person: Any) -> Listing:
    columns = list(dict.fromkeys(k for item in items for k, _ in _flat(item)))
    rows = tuple(_cells(item, columns, unit, person) for item in items)
    return Listing(label_of(key), tuple(label_of(column) for column in columns), rows)


def _cells(item: Evidence, columns: list[str], unit: str, person: Any) -> tuple[str, ...]:
    own, values = unit_of(item) or unit, dict(_flat(item))
    return tuple(value_words(column, values.get(column), own, person) for column in columns)


def label_of(key: str) -> str:
    named = ALLOWED_FOR.get(key) or LABELS.get(key)
    if named:
        return named
    for ending in UNIT_ENDINGS:
        key = key.removesuffix(ending)
    return sentence_case(key.removesuffix("_on").replace("_", " ")) or "Value"
