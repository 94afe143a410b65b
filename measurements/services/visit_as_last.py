"""A visit written up as the last one, by one tap: the work on each foot, and no reading."""

from datetime import date, datetime

from horses.access import CaseAccess
from horses.domain.wording import day_words
from horses.models import FootWork, Visit
from horses.services.deed import DeedRefused, deed
from horses.services.visit_planning import horse_lock
from horses.services.visits import WorkDone, visit_record
from measurements.queries.as_last_time import last_time_for

LOOK_FIRST = (
    "There is more to know about this horse than last time. Write the visit up foot by foot."
)


def visit_as_last(
    *, access: CaseAccess, client_key: str = "", on: date | None = None, now: datetime
) -> Visit:
    """Today's visit (or that of the day `on`, where a phone kept the tap) with the work of the last one. What was seen then (how the shoe had worn, how
    the foot landed, words) is not repeated: nobody has seen it again."""
    with deed(access, "work.record", now=now, key=client_key) as act:
        if earlier := act.made_before(Visit, {"case": access.case.public_id, "as": "last"}):
            return earlier
        horse_lock(access.horse)
        on = on or now.date()
        last = last_time_for(access, today=on)
        if last is None or last.visit.kept_on is None:
            raise DeedRefused(LOOK_FIRST)
        visit = visit_record(
            access=access,
            kept_on=on,
            work=[_again(row) for row in last.work],
            words=f"Done as on {day_words(last.visit.kept_on)}.",
            planned_id=_planned_id(access),
            now=now,
        )
        return act.made(visit)


def _again(row: FootWork) -> WorkDone:
    return WorkDone(
        foot=row.foot,
        trimmed=row.trimmed,
        shoeing_left=row.shoeing_left,
        shoe=row.shoe,
        shoe_words=row.shoe_words,
        wedge_deg=row.wedge_deg,
        kind=row.kind,
        material=row.material,
        size=row.size,
        pad=row.pad,
        clips=row.clips,
        studs=row.studs,
        nails=row.nails,
    )


def _planned_id(access: CaseAccess) -> str:
    planned = Visit.objects.planned().filter(horse=access.horse, kind=Visit.Kind.FARRIER)
    mine = planned.filter(planned_for__in=[access.person]) | planned.filter(planned_for=None)
    visit = mine.order_by("planned_on").first()
    return visit.public_id if visit else ""
