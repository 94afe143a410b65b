"""Undoing the end of a horse's care, for a day: also the visits that were cancelled by it."""

from datetime import datetime, timedelta

from horses.access import CaseAccess
from horses.models import Horse, Visit
from horses.models.visit_life import VisitStatus
from horses.services.deed import DeedRefused, deed

UNDONE_WITHIN = timedelta(days=1)


def may_undo_end(horse: Horse, now: datetime) -> bool:
    """Whether the end is less than a day old; later the care is taken up anew, without its visits."""
    ended = horse.has_ended and horse.state_at is not None
    return bool(ended and horse.state_at and now - horse.state_at < UNDONE_WITHIN)


def horse_end_undo(*, access: CaseAccess, now: datetime) -> Horse:
    with deed(access, "horse.pause", now=now) as act:
        horse = Horse.objects.select_for_update(no_key=True).get(pk=access.horse.pk)
        if not may_undo_end(horse, now):
            raise DeedRefused("That is more than a day ago. Take the care up again instead.")
        ended_at = horse.state_at
        horse.state, horse.state_reason, horse.state_at = Horse.State.ACTIVE, "", now
        horse.version += 1
        horse.save(update_fields=["state", "state_reason", "state_at", "version"])
        act.line("horse.end_undone", horse, after={})
        off = Visit.objects.filter(horse=horse, status=VisitStatus.CANCELLED, changed_at=ended_at)
        for visit in off.filter(planned_on__gte=now.date()):
            again = _planned_again(visit, now)
            after = {"on": str(again.planned_on), "kind": again.kind}
            act.line("visit.planned", again, after=after)
        event = f"{horse.public_id}:{horse.version}"
        act.tell("horse.end_undone", event, f"{horse.name}: the care goes on", among="horse.state")
        act.evaluate()
        return horse


def _planned_again(visit: Visit, now: datetime) -> Visit:
    """A planned visit like the cancelled one, which stays as it is."""
    return Visit.objects.create(
        horse=visit.horse,
        case=visit.case,
        kind=visit.kind,
        status=VisitStatus.PLANNED,
        planned_on=visit.planned_on,
        planned_for=visit.planned_for,
        planned_by_role=visit.planned_by_role,
        words=visit.words,
        recorded_at=now,
        changed_at=now,
    )
