"""Readings: recorded in one go for a visit, corrected by later ones, never overwritten."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from decimal import Decimal
from itertools import groupby
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess
from horses.ledger.append import Told
from horses.models import Foot, Horse, Person, Visit
from horses.models.base import AppendOnly
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.pictures import NO_PICTURES, pictures_attach
from horses.services.pictures import Taken as Pictures
from horses.services.visit_planning import horse_lock
from horses.services.visits import trim_ensure, trim_take_back, trims_ensure
from measurements.hoof.quantities import (
    BY_POINTS,
    QUANTITIES,
    Method,
    RangeCheck,
    TrimState,
    range_check,
)
from measurements.models import PicturePoints, Reading
from measurements.queries.numbers import current_readings
from measurements.queries.picture_readings import TWICE, points_trouble

NOT_YOURS = "{} recorded this. Ask them to correct it, or measure again yourself."
BY_POINTS_ONLY = (
    "A value by {} comes from points placed on a picture. Say how this one was measured."
)


@dataclass(frozen=True)
class Taken:
    """One value as taken: base value, and what was typed."""

    foot: str
    quantity: str
    value: Decimal
    entered_value: Decimal
    entered_unit: str
    entered_text: str
    method: str
    trim_state: str
    shoeing: str = ""
    shoe_then: str = ""
    confirmed_odd: bool = False
    entered_how: str = ""
    entered_blind: bool = False
    sd: Decimal | None = None  # its own error, in the base unit
    points_id: int | None = None  # the points it was reckoned from


def taken_check(taken: Taken) -> None:
    """As `value_check`, and raises DeedRefused for a value that claims to be of points and has none."""
    if Method(taken.method) in BY_POINTS and taken.points_id is None:
        raise DeedRefused(BY_POINTS_ONLY.format(Method(taken.method).label))
    value_check(taken)


def value_check(taken: Taken) -> None:
    """Raises DeedRefused for a method that does not fit or a value outside what is possible."""
    quantity = QUANTITIES[taken.quantity]
    if Method(taken.method) not in quantity.methods:
        offered = ", ".join(method.label for method in quantity.typed_methods)
        raise DeedRefused(
            f"The {quantity.label} is not measured by {Method(taken.method).label}. "
            f"Choose from: {offered}."
        )
    if taken.sd is not None and (taken.sd.is_nan() or taken.sd <= 0):
        raise DeedRefused("A measuring error must be more than zero.")
    verdict = range_check(quantity, float(taken.value))
    if verdict is RangeCheck.REFUSE:
        raise DeedRefused(
            f"{taken.entered_text} cannot be the {quantity.label} of a horse. "
            "Look at the unit and the decimal point."
        )
    if verdict is RangeCheck.CONFIRM and not taken.confirmed_odd:
        raise DeedRefused(
            f"{taken.entered_text} is unusual for the {quantity.label}. Measure again, "
            "or say that you are sure."
        )


def points_check(readings: Iterable[Taken], on: date) -> None:
    """Raises DeedRefused for a value of points on a picture of another day, or one that was written
    down before: a picture is one measurement. Runs under the horse's lock."""
    of_points = [taken for taken in readings if taken.points_id is not None]
    rows = PicturePoints.objects.select_related("picture__case__horse")
    found = rows.in_bulk({taken.points_id for taken in of_points})
    given = set[tuple[int, str]]()
    for taken in of_points:
        row = found[taken.points_id]
        if trouble := points_trouble(row, taken.quantity, on):
            raise DeedRefused(trouble)
        if (place := (row.picture_id, taken.quantity)) in given:
            raise DeedRefused(TWICE)
        given.add(place)


def readings_record(
    *,
    access: CaseAccess,
    taken_on: date,
    readings: list[Taken],
    visit: Visit | None = None,
    pictures: Pictures = NO_PICTURES,
    client_key: str = "",
    now: datetime,
) -> list[Reading]:
    """Records values taken on one day, and the pictures taken with them. A value taken before or after a trim dates the trim."""
    with deed(access, "reading.record", now=now, key=client_key) as act:
        if taken_on > now.date():
            raise DeedRefused("This day is still to come.")
        for taken in readings:
            taken_check(taken)
        if not readings:
            return []
        payload = {
            "case": access.case.public_id,
            "on": taken_on,
            "readings": [vars(t) for t in readings],
            "visit": visit.public_id if visit else "",
            **pictures.payload,
        }
        if earlier := act.made_before(Reading, payload):
            return _recorded_with(earlier, len(readings))
        horse_lock(access.horse)
        points_check(readings, taken_on)
        own = {"visit": visit, "taken_by": access.person, "taken_by_name": str(access.person)}
        rows = Reading.objects.bulk_create(
            _row(act, taken, taken_on=taken_on, source="form", **own) for taken in readings
        )
        trims = trims_ensure(access.horse, _dated(rows), visit=visit, now=now)
        act.rows([*rows, *trims.values()])
        act.line("readings.recorded", rows[0], after=_after(rows))
        pictures_attach(act, pictures)
        act.evaluate()
        act.made(rows[0])
        return rows


def readings_import(
    *,
    access: CaseAccess,
    days: Mapping[date, list[Taken]],
    taken_by_name: str = "",
    now: datetime,
) -> list[Reading]:
    """Records an old record, by its days: all of it or nothing, with a line of history for each day.

    `taken_by_name` is for values somebody else took; otherwise the person.
    """
    with deed(access, "reading.import", now=now) as act:
        for on, readings in days.items():
            if on > now.date():
                raise DeedRefused("This day is still to come.")
            for taken in readings:
                taken_check(taken)
        horse_lock(access.horse)
        own = {
            "taken_by": None if taken_by_name else access.person,
            "taken_by_name": taken_by_name or str(access.person),
        }
        rows = Reading.objects.bulk_create(
            _row(act, taken, taken_on=on, source="import", **own)
            for on, readings in sorted(days.items())
            for taken in readings
        )
        trims = trims_ensure(access.horse, _dated(rows), visit=None, now=now)
        act.lines([_day_told(list(of_day), trims) for _, of_day in groupby(rows, _day_of)])
        if rows:
            act.evaluate()
        return rows


def _day_of(reading: Reading) -> date:
    return reading.taken_on


def _day_told(readings: list[Reading], trims: Mapping[tuple[str, date], AppendOnly]) -> Told:
    """The line of one imported day, with its readings and the trims that it took."""
    dated = [trims[place] for place in sorted(_dated(readings)) if place in trims]
    return Told(
        "readings.recorded",
        readings[0].public_id,
        after=_after(readings),
        rows=[*readings, *dated],
    )


def _row(act: Deed, taken: Taken, **shared: Any) -> Reading:
    return Reading(
        **vars(taken),
        **shared,
        horse=act.access.horse,
        recorded_by=act.access.person,
        recorded_at=act.now,
    )


def _dated(readings: Iterable[Reading]) -> set[tuple[str, date]]:
    """The feet whose trim these values date, and the days."""
    return {(r.foot, r.taken_on) for r in readings if r.trim_state != TrimState.BETWEEN}


def _after(readings: list[Reading]) -> dict[str, Any]:
    """What the history says of values taken on one day."""
    first = readings[0]
    told = [_told(reading, with_how=True) for reading in readings]
    return {"on": str(first.taken_on), "readings": told, "source": first.source}


def _recorded_with(first: Reading, count: int) -> list[Reading]:
    """The rows that a form made together; somebody else's may lie between them."""
    rows = Reading.objects.filter(
        horse=first.horse,
        recorded_by=first.recorded_by,
        recorded_at=first.recorded_at,
        taken_on=first.taken_on,
        pk__gte=first.pk,
    )
    return list(rows.order_by("pk")[:count])


def reading_correct(
    *, access: CaseAccess, reading_id: str, taken: Taken | None, reason: str, now: datetime
) -> Reading:
    """Puts a later reading in the place of one's own earlier one (None: takes it off the series).

    Raises Conflict when somebody corrected it first.
    """
    with deed(access, "reading.correct", now=now) as act:
        old = Reading.objects.filter(horse=access.horse, public_id=reading_id).first()
        if old is None:
            raise Http404("no such reading")
        if old.recorded_by_id != access.person.pk:
            raise PermissionDenied(NOT_YOURS.format(old.recorded_by))
        if not reason.strip():
            raise DeedRefused("Say why it is corrected.")
        if taken is not None:
            taken_check(taken)
        horse_lock(access.horse)
        new = act.row(_correction(old, taken, by=access.person, reason=reason, now=now))
        for foot in sorted({old.foot, new.foot}):
            act.rows(trim_follow(old.horse, foot, old.taken_on, visit=old.visit, now=now))
        with_how = (old.method, old.trim_state) != (new.method, new.trim_state)
        value = "taken off the series" if new.is_void else _told(new, with_how=with_how)
        act.line(
            "reading.corrected",
            old,
            before={"value": _told(old, with_how=with_how)},
            after={"value": value, "reason": reason},
        )
        act.evaluate()
        return new


def _correction(
    old: Reading, taken: Taken | None, *, by: Person, reason: str, now: datetime
) -> Reading:
    fields = asdict(taken) if taken else same_as(old)
    try:
        with transaction.atomic():
            return Reading.objects.create(
                horse=old.horse,
                taken_on=old.taken_on,
                visit=old.visit,
                taken_by=old.taken_by,
                taken_by_name=old.taken_by_name,
                recorded_by=by,
                recorded_at=now,
                source=old.source,
                corrects=old,
                correction_reason=reason,
                is_void=taken is None,
                **fields,
            )
    except IntegrityError:
        later = Reading.objects.get(corrects=old)
        raise Conflict(
            mine={"value": taken.entered_text if taken else "taken off", "reason": reason},
            theirs={
                "value": "taken off" if later.is_void else later.entered_text,
                "reason": later.correction_reason,
            },
            who=str(later.recorded_by),
            at=later.recorded_at,
        ) from None


def reading_put_off(old: Reading, *, by: Person, reason: str, now: datetime) -> Reading:
    """The row that takes a reading off its series. Runs inside the caller's transaction and under
    the horse's lock; the caller has asked for the right and writes the line of history."""
    new = Reading.objects.create(
        horse=old.horse,
        taken_on=old.taken_on,
        visit=old.visit,
        taken_by=old.taken_by,
        taken_by_name=old.taken_by_name,
        recorded_by=by,
        recorded_at=now,
        source=old.source,
        corrects=old,
        correction_reason=reason[:300],
        is_void=True,
        **same_as(old),
    )
    return new


def trim_follow(
    horse: Horse, foot: str, on: date, *, visit: Visit | None = None, now: datetime
) -> list[AppendOnly]:
    """Dates the trim of that day from the readings that stand now, or takes it back."""
    that_day = current_readings(horse).filter(foot=foot, taken_on=on)
    if that_day.exclude(trim_state=TrimState.BETWEEN).exists():
        return trim_ensure(horse, foot, on, visit=visit, now=now)
    return trim_take_back(horse, foot, on, now=now)


def trims_follow(horse: Horse, on: date, now: datetime) -> list[AppendOnly]:
    """All four: a report that is corrected or taken back takes the trims that rest on it alone."""
    return [row for foot in Foot.values for row in trim_follow(horse, foot, on, now=now)]


def _told(reading: Reading, *, with_how: bool) -> str:
    """ "LF toe_angle 51 deg gauge after" for the history, method and moment where they change."""
    words = f"{reading.foot} {reading.quantity} {reading.entered_text} {reading.entered_unit}"
    return f"{words} {reading.method} {reading.trim_state}" if with_how else words


def same_as(old: Reading) -> dict[str, Any]:
    """All that was said of it; without the points, which belong to a picture of this horse."""
    names = (
        "foot",
        "quantity",
        "value",
        "entered_value",
        "entered_unit",
        "entered_text",
        "method",
        "trim_state",
        "shoeing",
        "shoe_then",
        "confirmed_odd",
        "entered_how",
        "entered_blind",
        "sd",
    )
    return {name: getattr(old, name) for name in names}
