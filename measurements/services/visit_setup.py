"""A person's own form of a visit: chosen by themself, for themself, without a history."""

from collections.abc import Mapping, Sequence

from django.db import transaction

from horses.models import Person
from measurements.models import VisitSetup
from measurements.models.visit_setup import MOST_SHOES
from measurements.panels.visit_set import USUAL_MEASURED


def _locked(person: Person) -> VisitSetup:
    """The person's row, which two phones may write at once; made from the house's set."""
    VisitSetup.objects.get_or_create(person=person, defaults={"measured": list(USUAL_MEASURED)})
    return VisitSetup.objects.select_for_update(no_key=True).get(person=person)


@transaction.atomic
def visit_setup_save(
    *,
    person: Person,
    measured: Sequence[str],
    feet: Sequence[str],
    blind: bool,
    without: Sequence[str] = (),
) -> VisitSetup:
    """Saves what is measured and how; `without`: the names of own shoes to forget."""
    row = _locked(person)
    row.measured, row.feet, row.blind = list(measured), list(feet), blind
    row.shoes = [shoe for shoe in row.shoes if shoe["name"] not in without]
    row.save()
    return row


@transaction.atomic
def own_shoe_keep(*, person: Person, name: str, shoe: Mapping[str, str]) -> VisitSetup:
    """Under a name of theirs; one of that name is put in its place, the oldest of too many goes."""
    row = _locked(person)
    others = [one for one in row.shoes if one["name"] != name]
    row.shoes = [*others, {**shoe, "name": name}][-MOST_SHOES:]
    row.save()
    return row
