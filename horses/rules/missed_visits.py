"""Marks visits whose day has passed and of which nobody has said a word. Its words accuse nobody.

Decided 2026-11: "nobody has said yet" is what time brings about (`@transition`), not a rule's
finding: three days after its day. It is asked about, of whoever looks first, and counts against
nobody; the stand-in is offered only where somebody said that visits did not take place. Written up
after all by the same farrier, it is that visit, kept late.
"""

from datetime import date, datetime, timedelta

from horses.ledger.append import history_append
from horses.models import Horse, Visit
from horses.models.visit_life import VisitChange
from horses.rules.engine import transition

# Days after the planned one in which a visit can still be written up or moved before it stands as
# "nobody has said yet". House default.
UNHEARD_AFTER = timedelta(days=3)
DENIED_RUN = 2  # so many running, and the stand-in is offered; house default


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


def asked_visit(horse: Horse, today: date) -> Visit | None:
    """The newest farrier's visit whose day has passed and that nobody has spoken of."""
    visits = Visit.objects.asked_about(today).filter(horse=horse, kind=Visit.Kind.FARRIER)
    return visits.first()


def denied_running(horse: Horse) -> list[Visit]:
    """The farrier's visits that somebody said did not take place, since one last did; newest first."""
    visits = Visit.objects.filter(horse=horse, kind=Visit.Kind.FARRIER)
    last = visits.took_place().order_by("-kept_on").first()
    denied = visits.denied().select_related("planned_for")
    if last is not None and last.kept_on is not None:
        denied = denied.filter(planned_on__gt=last.kept_on)
    return list(denied.order_by("-planned_on"))
