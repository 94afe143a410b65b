"""The visits that belong in a person's own calendar, asked anew at every reading of the feed."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q

from horses.access import active_memberships
from horses.models import Person, Role, Visit

# How far back a calendar is told of visits, cancelled ones included. House default: two cycles.
LOOK_BACK = timedelta(days=120)
KIND_OF = {Role.FARRIER: Visit.Kind.FARRIER, Role.VET: Visit.Kind.VET}


@dataclass(frozen=True)
class FeedVisit:
    visit: Visit
    case_id: str  # the board of the person's own that it leads to


def feed_visits_for(person: Person, *, today: date) -> list[FeedVisit]:
    """An owner's and a carer's calendar holds every visit of the horse; a farrier's or a vet's the
    visits of their own kind that no colleague is named for. Nothing of boards they have left."""
    members = active_memberships(person).select_related("case").order_by("case_id")
    boards: dict[int, str] = {}
    wanted = Q(pk__in=[])
    for member in members:
        horse_id = member.case.horse_id
        if horse_id not in boards or member.case.is_open:
            boards.setdefault(horse_id, member.case.public_id)
        theirs = Q(horse_id=horse_id)
        if kind := KIND_OF.get(Role(member.role)):
            theirs &= Q(kind=kind) & (Q(planned_for=None) | Q(planned_for=person))
        wanted |= theirs
    rows = Visit.objects.filter(wanted, planned_on__gte=today - LOOK_BACK)
    rows = rows.select_related("horse", "planned_for").order_by("planned_on", "pk")
    return [FeedVisit(visit, boards[visit.horse_id]) for visit in rows]
