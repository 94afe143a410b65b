"""A visit written up on the wrong horse: taken back there, written up as it stands on the right one."""

from dataclasses import fields, replace
from datetime import date, datetime

from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.access import CaseAccess
from horses.models import FootWork, Horse, Visit
from horses.queries.versions import next_day_of, visit_versions
from horses.services.deed import DeedRefused, deed
from horses.services.visit_correct import NO_OTHER, may_correct
from horses.services.visit_planning import horse_lock
from horses.services.visits import WorkDone
from measurements.hoof.quantities import Method, TrimState
from measurements.models import Reading
from measurements.queries.numbers import Numbers, numbers_of
from measurements.queries.visit_readings import visit_readings
from measurements.services.readings import Taken, same_as
from measurements.services.visit_record import visit_write_up
from measurements.services.visit_void import visit_take_back

# What a value by points is called where the picture is not: its own error stays with it.
WITHOUT_POINTS = {Method.PHOTO_CARD: Method.PHOTO, Method.FILM: Method.RADIOGRAPH}


def visit_to_other_horse(
    *,
    access: CaseAccess,
    to: CaseAccess,
    public_id: str,
    reason: str,
    client_key: str = "",
    now: datetime,
) -> Visit:
    """All of it or nothing; the same form twice moves it once. Returns the visit on the right horse.

    Only by who wrote it up: it stands on the other horse in their name. The day, the words, the
    work, the measurements and the day of the next visit go along; marks on plan items do not, as
    the other horse has its own. Raises Conflict when it was taken back first.
    """
    first, second = sorted((access, to), key=_by_case)  # two moves cannot wait for each other
    doing = {access.case.pk: "visit.void", to.case.pk: "work.record"}
    with (
        deed(first, doing[first.case.pk], now=now, key=client_key) as act,
        deed(second, doing[second.case.pk], now=now),
    ):
        if to.horse == access.horse:
            raise DeedRefused("That is this horse.", field="other")
        payload = {
            "case": access.case.public_id,
            "visit": public_id,
            "to": to.case.public_id,
            "reason": reason,
        }
        if earlier := act.made_before(Visit, payload):
            return earlier
        for horse in sorted((access.horse, to.horse), key=_by_id):
            horse_lock(horse)
        return act.made(_carry_over(access, to, _written_up(access, public_id), reason, now))


def _carry_over(
    access: CaseAccess, to: CaseAccess, old: Visit, reason: str, now: datetime
) -> Visit:
    work = [_work_again(row) for row in old.work.all()]
    readings = readings_for_other(old, numbers_of(to.horse, today=now.date()))
    next_day = next_day_of(visit_versions(old))
    visit_take_back(access=access, public_id=old.public_id, reason=reason, now=now)
    assert old.kept_on is not None
    return visit_write_up(
        access=to,
        kept_on=old.kept_on,
        work=work,
        readings=readings,
        words=old.words,
        next_on=next_day.planned_on if next_day else None,
        planned_id=_booked_that_day(to.horse, old.kept_on),
        now=now,
    )


def readings_for_other(visit: Visit, numbers: Numbers) -> list[Taken]:
    """The visit's readings as those of another horse, whose `numbers` say how its feet came."""
    assert visit.kept_on is not None
    return [_taken_again(reading, visit.kept_on, numbers) for reading in visit_readings(visit)]


def _by_id(horse: Horse) -> int:
    return int(horse.pk)


def _by_case(access: CaseAccess) -> int:
    return int(access.case.pk)


def _written_up(access: CaseAccess, public_id: str) -> Visit:
    visits = Visit.objects.written_up().filter(horse=access.horse)
    visit = visits.filter(public_id=public_id).first()
    if visit is None:
        raise Http404("no such visit")
    if not may_correct(access, visit):
        raise PermissionDenied(NO_OTHER.format(visit.person_name))
    return visit


def _work_again(row: FootWork) -> WorkDone:
    return WorkDone(**{field.name: getattr(row, field.name) for field in fields(WorkDone)})


def _taken_again(reading: Reading, day: date, numbers: Numbers) -> Taken:
    """Found on a foot as that horse's work left it; left as this visit's work says."""
    taken = Taken(**same_as(reading))
    # Its picture stays behind, and with it the points that its method names.
    method = WITHOUT_POINTS.get(Method(reading.method), Method(reading.method))
    taken = replace(taken, method=method.value)
    if reading.trim_state == TrimState.AFTER or not numbers.shoeing.get(reading.foot):
        return taken
    return replace(taken, shoeing=numbers.shoeing_on(reading.foot, day))


def _booked_that_day(horse: Horse, day: date) -> str:
    planned = Visit.objects.planned().filter(horse=horse, kind=Visit.Kind.FARRIER)
    booked = planned.filter(planned_on=day).first()
    return booked.public_id if booked else ""
