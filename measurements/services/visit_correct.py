"""A written-up visit put right in place, readings included: what was not changed stays as it was."""

from collections.abc import Iterable
from dataclasses import asdict, replace
from datetime import date, datetime
from typing import Any

from horses.access import CaseAccess
from horses.models import Person, Visit
from horses.models.base import AppendOnly
from horses.services.deed import deed
from horses.services.visit_correct import Also, visit_correct
from horses.services.visits import ItemOutcome, WorkDone
from measurements.hoof.quantities import TrimState
from measurements.models import Reading
from measurements.queries.visit_readings import visit_readings
from measurements.services.readings import (
    Taken,
    points_check,
    reading_put_off,
    taken_check,
    trim_follow,
)

AS_TYPED = ("entered_value", "entered_unit", "entered_text", "confirmed_odd")
Place = tuple[str, str, str]  # foot, quantity, "after" or "before": one field of the form


def place_of(reading: Reading | Taken) -> Place:
    after = reading.trim_state == TrimState.AFTER
    return reading.foot, reading.quantity, "after" if after else "before"


def visit_put_right(
    *,
    access: CaseAccess,
    public_id: str,
    kept_on: date,
    work: list[WorkDone],
    readings: list[Taken],
    words: str,
    outcomes: list[ItemOutcome],
    reason: str,
    next_on: date | None = None,
    next_asked: bool = False,
    client_key: str = "",
    now: datetime,
) -> Visit:
    """All of it or nothing; the same form twice is one correction."""
    with deed(access, "visit.correct", now=now, key=client_key) as act:
        for taken in readings:
            taken_check(taken)
        payload = {
            "case": access.case.public_id,
            "corrects": public_id,
            "on": kept_on,
            "work": [asdict(w) for w in work],
            "readings": [asdict(r) for r in readings],
            "words": words,
            "next": next_on,
            "outcomes": [asdict(o) for o in outcomes],
            "reason": reason,
        }
        if earlier := act.made_before(Visit, payload):
            return earlier
        why = f"Visit corrected: {reason}"
        visit = visit_correct(
            access=access,
            public_id=public_id,
            kept_on=kept_on,
            work=work,
            words=words,
            outcomes=outcomes,
            reason=reason,
            next_on=next_on,
            next_asked=next_asked,
            also=lambda old, new: _readings_follow(
                old, new, readings, by=access.person, why=why, now=now
            ),
            now=now,
        )
        return act.made(visit)


def _readings_follow(
    old: Visit, new: Visit, readings: list[Taken], *, by: Person, why: str, now: datetime
) -> Also:
    """Each reading of the visit is left as it is, replaced, or taken off; new ones are added."""
    assert old.kept_on is not None
    assert new.kept_on is not None
    wanted = {place_of(taken): taken for taken in readings}
    rows: list[AppendOnly] = []
    changes: list[str] = []
    feet = {work.foot for visit in (old, new) for work in visit.work.all()}
    for reading in visit_readings(old):
        feet.add(reading.foot)
        taken = wanted.pop(place_of(reading), None)
        if taken is None:
            rows.append(reading_put_off(reading, by=by, reason=why, now=now))
            changes.append(f"{_told(reading)} → taken off")
        elif not _says_the_same(reading, taken, new.kept_on):
            rows.append(_replaced(reading, taken, new, by=by, why=why, now=now))
            if told := _change_told(reading, taken):
                changes.append(told)
    points_check(wanted.values(), new.kept_on)
    for taken in wanted.values():
        feet.add(taken.foot)
        rows.append(_added(taken, new, by=by, now=now))
        changes.append(f"none → {_told(taken)}")
    for day in sorted({old.kept_on, new.kept_on}):
        for foot in sorted(feet):
            rows += trim_follow(new.horse, foot, day, visit=new, now=now)
    return Also(rows, changes)


def _said(row: Reading | Taken) -> dict[str, Any]:
    """What counts of a reading: 49,5 typed for 49.5 is no change."""
    names = ("value", "method", "trim_state", "shoeing", "shoe_then")
    return {name: getattr(row, name) for name in names}


def _says_the_same(reading: Reading, taken: Taken, on: date) -> bool:
    return reading.taken_on == on and _said(reading) == _said(taken)


def _replaced(
    reading: Reading, taken: Taken, visit: Visit, *, by: Person, why: str, now: datetime
) -> Reading:
    assert visit.kept_on is not None
    as_typed = dict[str, Any]()
    if reading.value == taken.value:  # as it was typed the first time
        as_typed = {name: getattr(reading, name) for name in AS_TYPED}
    return Reading.objects.create(
        **{**asdict(taken), **as_typed},
        horse=reading.horse,
        taken_on=visit.kept_on,
        visit=visit,
        taken_by=reading.taken_by,
        taken_by_name=reading.taken_by_name,
        recorded_by=by,
        recorded_at=now,
        source=reading.source,
        corrects=reading,
        correction_reason=why[:300],
    )


def _added(taken: Taken, visit: Visit, *, by: Person, now: datetime) -> Reading:
    assert visit.kept_on is not None
    return Reading.objects.create(
        **asdict(taken),
        horse=visit.horse,
        taken_on=visit.kept_on,
        visit=visit,
        taken_by=by,
        taken_by_name=str(by),
        recorded_by=by,
        recorded_at=now,
    )


def _told(row: Reading | Taken) -> str:
    """ "LF toe_angle 51 deg gauge after", as in the other lines of the history."""
    return (
        f"{row.foot} {row.quantity} {row.entered_text} {row.entered_unit} {row.method} "
        f"{row.trim_state}"
    )


def _change_told(reading: Reading, taken: Taken) -> str:
    """Nothing where only the day, or how the foot was shod, went along with the visit."""
    if reading.value == taken.value:
        taken = replace(taken, entered_text=reading.entered_text, entered_unit=reading.entered_unit)
    before, after = _told(reading), _told(taken)
    return "" if before == after else f"{before} → {after}"


def without_duplicates(readings: Iterable[Reading]) -> dict[Place, Reading]:
    """By field of the form; of two for one field, which a correction can bring about, the first."""
    found: dict[Place, Reading] = {}
    for reading in readings:
        found.setdefault(place_of(reading), reading)
    return found
