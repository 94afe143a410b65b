"""The policy table as people read it: by subject, each role in words. Pure."""

from dataclasses import dataclass

from horses.access import POLICY, THREE_AND_CARER, Role, Rule

# The first part of an action's name, and what it is about.
SUBJECTS = {
    "case": "The case",
    "horse": "The horse",
    "team": "The team",
    "owner": "The team",
    "look": "The daily look",
    "flag": "Something is not right",
    "shoe": "Something is not right",
    "note": "Notes and examinations",
    "exam": "Notes and examinations",
    "picture": "Pictures",
    "points": "Measurements",
    "reading": "Measurements",
    "work": "The farrier's work and visits",
    "visit": "The farrier's work and visits",
    "interval": "The farrier's work and visits",
    "stance": "Measurements",
    "target": "Targets",
    "plan": "The plan",
    "sheet": "The plan",
    "alert": "Alerts",
}


@dataclass(frozen=True)
class PolicyRow:
    words: str
    condition: str
    marks: tuple[tuple[Role, bool], ...]  # in the order in which roles are always named
    closed_too: bool
    asks_again: bool


@dataclass(frozen=True)
class PolicySection:
    title: str
    rows: tuple[PolicyRow, ...]


def policy_sections() -> list[PolicySection]:
    """Every rule once, under its subject, in the order of the table."""
    rows: dict[str, list[PolicyRow]] = {}
    for rule in POLICY.values():
        rows.setdefault(SUBJECTS[rule.action.split(".")[0]], []).append(_row(rule))
    return [PolicySection(title, tuple(group)) for title, group in rows.items()]


def _row(rule: Rule) -> PolicyRow:
    marks = tuple((role, role in rule.roles) for role in THREE_AND_CARER)
    held = "also whoever holds the horse for an owner without an account" if rule.holder else ""
    condition = "; ".join(filter(None, (held, rule.condition)))
    return PolicyRow(rule.words, condition, marks, not rule.open_case_only, rule.asks_again)
