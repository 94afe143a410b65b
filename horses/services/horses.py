"""Horses: made with their standing case, edited, paused, weighed."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction

from horses.access import TEAM_AUDIENCE, CaseAccess, require
from horses.ledger.append import history_append
from horses.models import Case, Horse, HorseClock, HorseWeight, Membership, Person, Role, Visit
from horses.models.visit_life import VisitChange
from horses.notices.create import notify
from horses.rules.engine import evaluation_enqueue
from horses.services.idempotency import idempotent
from horses.services.versions import version_check

EDITABLE = (
    "name",
    "born_on",
    "sex",
    "breed",
    "use",
    "footing",
    "turnout",
    "yard",
    "handling",
    "danger",
    "held_by",
    "microchip",
    "ueln",
    "emergency_vet_name",
    "emergency_vet_phone",
    "interval_days",
)


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    return {k: v.isoformat() if isinstance(v, date) else v for k, v in values.items()}


@transaction.atomic
def horse_create(
    *, person: Person, fields: dict[str, Any], client_key: str = "", now: datetime
) -> Horse:
    """A new horse with its standing case; the maker is its owner (or manages the yard for one)."""
    unknown = set(fields) - set(EDITABLE)
    if unknown:
        raise ValueError(f"not fields of a horse: {sorted(unknown)}")

    def make() -> Horse:
        horse = Horse.objects.create(
            created_at=now, **fields, **_who_set_interval(person, Role.OWNER, fields, now)
        )
        case = Case.objects.create(
            horse=horse,
            kind=Case.Kind.ROUTINE,
            title="Standing care",
            opened_at=now,
            opened_by=person,
        )
        Membership.objects.create(case=case, person=person, role=Role.OWNER, joined_at=now)
        HorseClock.objects.create(horse=horse, due_at=now)
        history_append(
            case=case,
            actor=person,
            role=Role.OWNER,
            verb="horse.created",
            subject=horse.public_id,
            after=_plain(fields),
            now=now,
        )
        return horse

    return idempotent(person, client_key, _plain(fields), now=now, make=make, model=Horse)


def _who_set_interval(
    person: Person, role: str, fields: dict[str, Any], now: datetime
) -> dict[str, Any]:
    """Whose word the time between trims is; a form left at the usual weeks is nobody's."""
    usual = Horse._meta.get_field("interval_days").get_default()
    if fields.get("interval_days", usual) == usual:
        return {}
    return {
        "interval_basis": Horse.Basis.TEAM,
        "interval_by_name": str(person),
        "interval_by_role": role,
        "interval_set_on": now.date(),
    }


@transaction.atomic
def horse_edit(*, access: CaseAccess, version: int, fields: dict[str, Any], now: datetime) -> Horse:
    """Changes what is written about the horse. Raises Conflict when someone saved before."""
    require(access, "horse.edit")
    horse = Horse.objects.select_for_update(no_key=True).get(pk=access.horse.pk)
    changed = {k: v for k, v in fields.items() if k in EDITABLE and getattr(horse, k) != v}
    version_check(
        access,
        horse,
        version,
        mine=_plain({k: v for k, v in fields.items() if k in EDITABLE}),
        theirs=_plain({k: getattr(horse, k) for k in EDITABLE if k in fields}),
    )
    if not changed:
        return horse
    if "interval_days" in changed and horse.interval_basis == Horse.Basis.VET:
        raise PermissionDenied("The time between trims is the vet's order: only a vet changes it.")
    before = {k: getattr(horse, k) for k in changed}
    who_set = _who_set_interval(access.person, access.role, changed, now)
    for name, value in {**changed, **who_set}.items():
        setattr(horse, name, value)
    horse.version += 1
    horse.save(update_fields=[*changed, *who_set, "version"])
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="horse.edited",
        subject=horse.public_id,
        before=_plain(before),
        after=_plain(changed),
        now=now,
    )
    evaluation_enqueue(horse, now=now)
    return horse


@transaction.atomic
def horse_set_state(
    *,
    access: CaseAccess,
    state: str,
    reason: str,
    version: int | None = None,
    now: datetime,
) -> Horse:
    """Pauses, ends or takes up care again. Reminders stop at once with a pause or an ending.

    Raises Conflict when the horse is no longer the `version` that was seen.
    """
    require(access, "horse.pause")
    horse = Horse.objects.select_for_update(no_key=True).get(pk=access.horse.pk)
    if (horse.state, horse.state_reason) == (state, reason):
        return horse  # the same form sent twice
    version_check(
        access,
        horse,
        version,
        mine={"state": Horse.State(state).label, "reason": reason},
        theirs={"state": horse.get_state_display(), "reason": horse.state_reason},
    )
    before = {"state": horse.state}
    if horse.state != state:
        horse.state_at = now
    horse.state, horse.state_reason, horse.version = Horse.State(state), reason, horse.version + 1
    horse.save(update_fields=["state", "state_reason", "state_at", "version"])
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb=f"horse.{state}",
        subject=horse.public_id,
        before=before,
        after={"state": state, "reason": reason},
        now=now,
    )
    if horse.state != Horse.State.ACTIVE:
        _planned_off(access, reason, now)
    notify(
        event=f"horse.state:{horse.public_id}:{horse.version}",
        case=access.case,
        verb=f"horse.{state}",
        subject=f"{horse.name}: {STATE_WORDS[horse.state]}",
        body=reason,
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    evaluation_enqueue(horse, now=now)
    return horse


STATE_WORDS = {
    Horse.State.ACTIVE: "the care goes on",
    Horse.State.PAUSED: "the care is paused",
    Horse.State.ENDED: "the care has ended",
}


def _planned_off(access: CaseAccess, reason: str, now: datetime) -> None:
    """Nobody comes to a horse that is paused or gone: its planned visits are cancelled."""
    planned = Visit.objects.planned().select_for_update(no_key=True).filter(horse=access.horse)
    for visit in planned:
        visit.turn(VisitChange.CANCEL, now)
        visit.status_reason = reason
        visit.save(update_fields=["status", "status_reason", "version", "changed_at"])
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="visit.cancelled",
            subject=visit.public_id,
            now=now,
            after={"on": str(visit.planned_on), "reason": reason},
        )


@transaction.atomic
def weight_record(
    *,
    access: CaseAccess,
    weight_kg: Decimal,
    entered_value: Decimal,
    entered_unit: str,
    method: str,
    weighed_on: date,
    client_key: str = "",
    now: datetime,
) -> HorseWeight:
    require(access, "horse.weigh")
    payload = {
        "case": access.case.public_id,
        "kg": weight_kg,
        "unit": entered_unit,
        "method": method,
        "on": weighed_on,
    }

    def make() -> HorseWeight:
        weight = HorseWeight.objects.create(
            horse=access.horse,
            weight_kg=weight_kg,
            entered_value=entered_value,
            entered_unit=entered_unit,
            method=method,
            weighed_on=weighed_on,
            recorded_by=access.person,
            recorded_at=now,
        )
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="horse.weighed",
            subject=weight.public_id,
            now=now,
            rows=[weight],
            after={"value": str(entered_value), "unit": entered_unit, "on": str(weighed_on)},
        )
        evaluation_enqueue(access.horse, now=now)
        return weight

    return idempotent(access.person, client_key, payload, now=now, make=make, model=HorseWeight)
