"""A visit written up in one go: the work on each foot and the readings before and after it."""

from dataclasses import asdict
from datetime import date, datetime

from horses.access import CaseAccess
from horses.models import Visit
from horses.services.deed import deed
from horses.services.visits import ItemOutcome, WorkDone, visit_record
from measurements.services.readings import Taken, readings_record, trims_follow


def visit_write_up(
    *,
    access: CaseAccess,
    kept_on: date,
    work: list[WorkDone],
    readings: list[Taken],
    words: str = "",
    next_on: date | None = None,
    outcomes: list[ItemOutcome] | None = None,
    planned_id: str = "",
    move_booked: bool = False,
    client_key: str = "",
    now: datetime,
) -> Visit:
    """The farrier's whole visit, all of it or nothing; the same form twice is one visit."""
    with deed(access, "work.record", now=now, key=client_key) as act:
        payload = {
            "case": access.case.public_id,
            "on": kept_on,
            "work": [asdict(w) for w in work],
            "readings": [asdict(r) for r in readings],
            "words": words,
            "next": next_on,
            "outcomes": [asdict(o) for o in outcomes or []],
            "planned": planned_id,
            "moves": move_booked,
        }
        if earlier := act.made_before(Visit, payload):
            return earlier
        visit = visit_record(
            access=access,
            kept_on=kept_on,
            work=work,
            words=words,
            next_on=next_on,
            outcomes=outcomes,
            planned_id=planned_id,
            move_booked=move_booked,
            trims=trims_follow,
            now=now,
        )
        readings_record(access=access, taken_on=kept_on, readings=readings, visit=visit, now=now)
        return act.made(visit)
