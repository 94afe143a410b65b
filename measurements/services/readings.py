"""Readings: recorded in one go for a visit, corrected by later ones, never overwritten."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess, require
from horses.ledger.append import history_append
from horses.models import Horse, Person, Visit
from horses.models.base import AppendOnly
from horses.rules.engine import evaluation_enqueue
from horses.services.deed import DeedRefused
from horses.services.idempotency import idempotent
from horses.services.visit_planning import horse_lock
from horses.services.visits import trim_ensure, trim_take_back
from measurements.hoof.quantities import QUANTITIES, Method, RangeCheck, TrimState, range_check
from measurements.models import Reading
from measurements.queries.numbers import current_readings


class ReadingRefused(DeedRefused):
    """A value that cannot be right, or not without a second look, with the reason in words."""


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


def taken_check(taken: Taken) -> None:
    """Raises ReadingRefused for a method that does not fit or a value outside what is possible."""
    quantity = QUANTITIES[taken.quantity]
    if Method(taken.method) not in quantity.methods:
        offered = ", ".join(method.label for method in quantity.methods)
        raise ReadingRefused(
            f"The {quantity.label} is not measured by {Method(taken.method).label}. "
            f"Choose from: {offered}."
        )
    verdict = range_check(quantity, float(taken.value))
    if verdict is RangeCheck.REFUSE:
        raise ReadingRefused(
            f"{taken.entered_text} cannot be the {quantity.label} of a horse. "
            "Look at the unit and the decimal point."
        )
    if verdict is RangeCheck.CONFIRM and not taken.confirmed_odd:
        raise ReadingRefused(
            f"{taken.entered_text} is unusual for the {quantity.label}. Measure again, "
            "or say that you are sure."
        )


@transaction.atomic
def readings_record(
    *,
    access: CaseAccess,
    taken_on: date,
    readings: list[Taken],
    visit: Visit | None = None,
    client_key: str = "",
    now: datetime,
    source: str = "form",
    taken_by_name: str = "",
) -> list[Reading]:
    """Records values taken on one day. A value taken before or after a trim dates the trim.

    `taken_by_name` is for values somebody else took (an imported record); otherwise the person.
    """
    require(access, "reading.import" if source == "import" else "reading.record")
    if taken_on > now.date():
        raise ReadingRefused("This day is still to come.")
    for taken in readings:
        taken_check(taken)
    payload = {
        "case": access.case.public_id,
        "on": taken_on,
        "readings": [asdict(t) for t in readings],
        "visit": visit.public_id if visit else "",
    }

    def make() -> Reading:
        horse_lock(access.horse)
        rows = [
            Reading.objects.create(
                horse=access.horse,
                taken_on=taken_on,
                visit=visit,
                taken_by=None if taken_by_name else access.person,
                taken_by_name=taken_by_name or str(access.person),
                recorded_by=access.person,
                recorded_at=now,
                source=source,
                **asdict(taken),
            )
            for taken in readings
        ]
        trimmed = {taken.foot for taken in readings if taken.trim_state != TrimState.BETWEEN}
        trims: list[AppendOnly] = []
        for foot in sorted(trimmed):
            trims += trim_ensure(access.horse, foot, taken_on, visit=visit, now=now)
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="readings.recorded",
            subject=rows[0].public_id,
            now=now,
            rows=[*rows, *trims],
            after={
                "on": str(taken_on),
                "readings": [
                    f"{t.foot} {t.quantity} {t.entered_text} {t.entered_unit} {t.method} "
                    f"{t.trim_state}"
                    for t in readings
                ],
                "source": source,
            },
        )
        evaluation_enqueue(access.horse, now=now)
        return rows[0]

    if not readings:
        return []
    first = idempotent(access.person, client_key, payload, now=now, make=make, model=Reading)
    # A repeated form gives the rows of the first one; somebody else's may lie between them.
    rows = Reading.objects.filter(
        horse=access.horse,
        recorded_by=access.person,
        recorded_at=first.recorded_at,
        taken_on=taken_on,
        pk__gte=first.pk,
    )
    return list(rows.order_by("pk")[: len(readings)])


@transaction.atomic
def reading_correct(
    *, access: CaseAccess, reading_id: str, taken: Taken | None, reason: str, now: datetime
) -> Reading:
    """Puts a later reading in the place of one's own earlier one (None: takes it off the series).

    Raises Conflict when somebody corrected it first.
    """
    require(access, "reading.correct")
    old = Reading.objects.filter(horse=access.horse, public_id=reading_id).first()
    if old is None:
        raise Http404("no such reading")
    if old.recorded_by_id != access.person.pk:
        raise PermissionDenied(
            f"{old.recorded_by} recorded this. Ask them to correct it, or measure again yourself."
        )
    if not reason.strip():
        raise ReadingRefused("Say why it is corrected.")
    if taken is not None:
        taken_check(taken)
    fields = asdict(taken) if taken else same_as(old)
    horse_lock(access.horse)
    try:
        with transaction.atomic():
            new = Reading.objects.create(
                horse=access.horse,
                taken_on=old.taken_on,
                visit=old.visit,
                taken_by=old.taken_by,
                taken_by_name=old.taken_by_name,
                recorded_by=access.person,
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
    trims: list[AppendOnly] = []
    for foot in sorted({old.foot, new.foot}):
        trims += trim_follow(old.horse, foot, old.taken_on, visit=old.visit, now=now)
    with_how = (old.method, old.trim_state) != (new.method, new.trim_state)
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="reading.corrected",
        subject=old.public_id,
        now=now,
        rows=[new, *trims],
        before={"value": _told(old, with_how=with_how)},
        after={
            "value": "taken off the series" if new.is_void else _told(new, with_how=with_how),
            "reason": reason,
        },
    )
    evaluation_enqueue(access.horse, now=now)
    return new


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


def _told(reading: Reading, *, with_how: bool) -> str:
    """ "LF toe_angle 51 deg gauge after" for the history, method and moment where they change."""
    words = f"{reading.foot} {reading.quantity} {reading.entered_text} {reading.entered_unit}"
    return f"{words} {reading.method} {reading.trim_state}" if with_how else words


def same_as(old: Reading) -> dict[str, Any]:
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
    )
    return {name: getattr(old, name) for name in names}
