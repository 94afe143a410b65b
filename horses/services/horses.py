"""Horses: made with their standing case, edited, paused, weighed."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction

from horses.access import CaseAccess
from horses.ledger.append import history_append
from horses.models import (
    Case,
    Horse,
    HorseClock,
    HorseWeight,
    Membership,
    Person,
    Role,
    Visit,
    YardMember,
)
from horses.models.visit_life import VisitChange
from horses.services.deed import Deed, deed
from horses.services.held import contact_keep
from horses.services.idempotency import key_claim, key_result
from horses.services.versions import version_check
from horses.services.visit_word import visit_report

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
VETS_ORDER = "The time between trims is the vet's order: only a vet changes it."


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    return {k: v.isoformat() if isinstance(v, date) else v for k, v in values.items()}


@dataclass(frozen=True)
class HeldFor:
    """A customer's horse: added by its farrier or vet, for an owner who has no account."""

    role: Role  # of whoever adds it
    name: str
    phone: str


@transaction.atomic
def horse_create(
    *,
    person: Person,
    fields: dict[str, Any],
    held_for: HeldFor | None = None,
    via: YardMember | None = None,
    last_trim_on: date | None = None,
    client_key: str = "",
    now: datetime,
) -> Horse:
    """A new horse with its standing case. The maker is its owner, or manages the yard (`via`) that
    stands for one, or is its farrier or vet, who holds it for the owner (`held_for`).
    `last_trim_on`: as the maker says."""
    unknown = set(fields) - set(EDITABLE)
    if unknown:
        raise ValueError(f"not fields of a horse: {sorted(unknown)}")
    role = held_for.role if held_for else Role.OWNER
    plain = _plain(fields)
    key, earlier = None, None
    if client_key:  # nobody has a board to ask a right on yet: this is no deed on one
        payload = plain | {"held_for": held_for, "last_trim_on": last_trim_on}
        key, earlier = key_claim(person, client_key, payload, Horse, now=now)
    if earlier is not None:
        return earlier
    horse = Horse.objects.create(
        created_at=now, **fields, **_who_set_interval(person, role, fields, now)
    )
    case = Case.objects.create(
        horse=horse,
        kind=Case.Kind.ROUTINE,
        title="Standing care",
        opened_at=now,
        opened_by=person,
    )
    Membership.objects.create(
        case=case, person=person, role=role, via=via, joined_at=now, holds=held_for is not None
    )
    HorseClock.objects.create(horse=horse, due_at=now)
    if held_for is not None:
        contact_keep(horse, person, name=held_for.name, phone=held_for.phone, now=now)
    history_append(
        case=case,
        actor=person,
        role=role,
        verb="horse.held" if held_for else "horse.created",
        subject=horse.public_id,
        after=plain,
        now=now,
    )
    if last_trim_on is not None:
        access = CaseAccess(person, case, role, holds=held_for is not None)
        visit_report(access=access, on=last_trim_on, now=now)
    if key is not None:
        key_result(key, horse)
    return horse


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


def horse_edit(*, access: CaseAccess, version: int, fields: dict[str, Any], now: datetime) -> Horse:
    """Changes what is written about the horse. Raises Conflict when someone saved before."""
    with deed(access, "horse.edit", now=now) as act:
        horse = Horse.objects.select_for_update(no_key=True).get(pk=access.horse.pk)
        given = {k: v for k, v in fields.items() if k in EDITABLE}
        theirs = {k: getattr(horse, k) for k in EDITABLE if k in fields}
        version_check(access, horse, version, mine=_plain(given), theirs=_plain(theirs))
        changed = {k: v for k, v in given.items() if getattr(horse, k) != v}
        if not changed:
            return horse
        if "interval_days" in changed and horse.interval_basis == Horse.Basis.VET:
            raise PermissionDenied(VETS_ORDER)
        before = {k: getattr(horse, k) for k in changed}
        who_set = _who_set_interval(access.person, access.role, changed, now)
        for name, value in {**changed, **who_set}.items():
            setattr(horse, name, value)
        horse.version += 1
        horse.save(update_fields=[*changed, *who_set, "version"])
        act.line("horse.edited", horse, before=_plain(before), after=_plain(changed))
        act.evaluate()
        return horse


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
    with deed(access, "horse.pause", now=now) as act:
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
        horse.state, horse.state_reason = Horse.State(state), reason
        horse.version += 1
        horse.save(update_fields=["state", "state_reason", "state_at", "version"])
        verb = f"horse.{state}"
        act.line(verb, horse, before=before, after={"state": state, "reason": reason})
        if horse.state != Horse.State.ACTIVE:
            _planned_off(act, reason)
        event, subject = f"{horse.public_id}:{horse.version}", STATE_WORDS[horse.state]
        act.tell(verb, event, f"{horse.name}: {subject}", body=reason, among="horse.state")
        act.evaluate()
        return horse


STATE_WORDS = {
    Horse.State.ACTIVE: "the care goes on",
    Horse.State.PAUSED: "the care is paused",
    Horse.State.ENDED: "the care has ended",
}


def _planned_off(act: Deed, reason: str) -> None:
    """Nobody comes to a horse that is paused or gone: its planned visits are cancelled."""
    planned = Visit.objects.planned().select_for_update(no_key=True).filter(horse=act.access.horse)
    for visit in planned:
        visit.turn(VisitChange.CANCEL, act.now)
        visit.status_reason = reason
        visit.save(update_fields=["status", "status_reason", "version", "changed_at"])
        act.line("visit.cancelled", visit, after={"on": str(visit.planned_on), "reason": reason})


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
    with deed(access, "horse.weigh", now=now, key=client_key) as act:
        payload = {
            "case": access.case.public_id,
            "kg": weight_kg,
            "unit": entered_unit,
            "method": method,
            "on": weighed_on,
        }
        if earlier := act.made_before(HorseWeight, payload):
            return earlier
        weight = act.row(
            HorseWeight.objects.create(
                horse=access.horse,
                weight_kg=weight_kg,
                entered_value=entered_value,
                entered_unit=entered_unit,
                method=method,
                weighed_on=weighed_on,
                recorded_by=access.person,
                recorded_at=now,
            )
        )
        after = {"value": str(entered_value), "unit": entered_unit, "on": str(weighed_on)}
        act.line("horse.weighed", weight, after=after)
        act.evaluate()
        return act.made(weight)
