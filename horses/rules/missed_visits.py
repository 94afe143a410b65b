"""Marks visits whose day has passed and that nobody wrote up. Its words accuse nobody.

Decided 2026-11: "not written up" is what time brings about (`@transition`), not a rule's finding:
three days after its day. Written up after all by the same farrier, it is that visit, kept late.
"""

from datetime import date, datetime, timedelta

from horses.ledger.append import history_append
from horses.models import Horse, Visit
from horses.models.visit_life import VisitChange
from horses.rules.engine import transition

# Days after the planned one in which a visit can still be written up or moved before it stands as
# "not written up". House default.
UNHEARD_AFTER = timedelta(days=3)
UNHEARD_RUN = 2  # so many running, and the stand-in is offered; house default


@transition
def visits_unheard(horse: Horse, now: datetime) -> None:
    """Marks the planned visits of the horse that nobody has spoken of."""
    planned = Visit.objects.planned().select_for_update(no_key=True, of=("self",))
    passed = planned.filter(horse=horse, planned_on__lt=now.date() - UNHEARD_AFTER)
    for visit in passed.select_related("case"):
        visit_mark_unheard(visit, now)


def visit_mark_unheard(visit: Visit, now: datetime) -> None:
    visit.turn(VisitChange.UNHEARD, now)
    visit.save(update_fields=["status", "version", "changed_at"])
    history_append(
        case=visit.case,
        actor=None,
        role="",
        verb="visit.unheard",
        subject=visit.public_id,
        after={"on": str(visit.planned_on), "who": str(visit.planned_for or "")},
        now=now,
    )


def is_unheard(planned_on: date | None, today: date) -> bool:
    return planned_on is not None and planned_on < today - UNHEARD_AFTER


def unheard_running(horse: Horse) -> list[Visit]:
    """The farrier's visits that were not written up since one was last kept, newest first."""
    visits = Visit.objects.filter(horse=horse, kind=Visit.Kind.FARRIER)
    last_kept = visits.kept().order_by("-kept_on").first()
    unheard = visits.missed().select_related("planned_for")
    if last_kept is not None and last_kept.kept_on is not None:
        unheard = unheard.filter(planned_on__gt=last_kept.kept_on)
    return list(unheard.order_by("-planned_on"))
