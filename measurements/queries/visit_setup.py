"""Reads how a person likes the form of a visit."""

from typing import Any

from horses.models import Person
from measurements.models import VisitSetup


def visit_setup_of(person: Person) -> VisitSetup | None:
    """Their own; none where they never chose."""
    return VisitSetup.objects.filter(person=person).first()


def own_shoes(setup: VisitSetup | None) -> list[dict[str, Any]]:
    return list(setup.shoes) if setup else []
