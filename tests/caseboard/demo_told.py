"""The demo, loaded once for a file, and how its tests ask for people, boards and alerts."""

from datetime import UTC, datetime

from caseboard.demo.people import WHO
from horses.access import CaseAccess, access_get
from horses.models import (
    Alert,
    Case,
    Person,
)
from horses.queries.plan_lines import PlanLine, plan_for

NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
QUIET = ("Pebble", "Tansy", "Juno", "Dusk")


def person(key: str) -> Person:
    return Person.objects.get(email=WHO[key].email)


def access(key: str, horse: str, kind: str = "routine") -> CaseAccess:
    case = Case.objects.get(horse__name=horse, kind=kind)
    return access_get(person(key), case.public_id)


def open_alerts(horse: str) -> set[tuple[str, str, str]]:
    rows = Alert.objects.filter(horse__name=horse, cleared_at=None)
    return {(row.rule, row.subject, row.weight) for row in rows}


def plan_line(text: str) -> PlanLine:
    lines = plan_for(access("manager", "Marigold", "concern"))
    return next(line for line in lines if text in line.version.text)
