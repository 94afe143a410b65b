"""A yard: made, and what is written about it changed. The frame that a yard's deeds run in."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from django.db import transaction

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess, access_on, require
from horses.access_yard import YardAccess, yard_require
from horses.models import Case, Horse, Person, Role, Stay, Yard, YardMember, YardRole
from horses.services.deed import Deed, DeedRefused
from horses.services.idempotency import key_claim, key_result
from horses.services.yard_people import everybody_joins

EDITABLE = (
    "name",
    "address",
    "time_zone",
    "vet_name",
    "vet_phone",
    "held_by",
    "interval_days",
)


@contextmanager
def yard_deed(access: YardAccess, action: str, *, now: datetime) -> Iterator[Yard]:
    """One deed at a yard in one transaction, one at a time, if the person may do it."""
    with transaction.atomic():
        yard = Yard.objects.select_for_update(no_key=True).get(pk=access.yard.pk)
        yard_require(access, action)
        yield yard


@transaction.atomic
def yard_create(
    *,
    person: Person,
    fields: dict[str, Any],
    horse_ids: Sequence[str] = (),
    client_key: str = "",
    now: datetime,
) -> Yard:
    """A new yard, whose maker manages it; `horse_ids`: standing cases of horses that they own and
    that stand there from now on. Equal typed places make no yard by themselves."""
    _known(fields)
    key, earlier = None, None
    if client_key:  # no board and no yard to ask a right on yet
        payload = {**fields, "horses": sorted(horse_ids)}
        key, earlier = key_claim(person, client_key, payload, Yard, now=now)
    if earlier is not None:
        return earlier
    yard = Yard.objects.create(created_at=now, created_by=person, **fields)
    YardMember.objects.create(
        yard=yard,
        person=person,
        role=YardRole.MANAGER,
        asked_at=now,
        confirmed_at=now,
        confirmed_by=person,
    )
    for case in Case.objects.filter(public_id__in=horse_ids).order_by("pk"):
        access = access_on(person, case)
        if access is None:
            raise DeedRefused("One of these horses is not yours any more.", field="horses")
        # making a yard of one's own horses brings nobody else on them
        require(access, "horse.edit")
        stay_begin(act=Deed(access, "", now), yard=yard, now=now)
    if key is not None:
        key_result(key, yard)
    return yard


def stay_begin(*, act: Deed, yard: Yard, is_yards_own: bool = False, now: datetime) -> Stay:
    """The horse stands at the yard from now on, and the yard's people come on its standing care."""
    horse = Horse.objects.select_for_update(no_key=True).get(pk=act.access.horse.pk)
    if Stay.objects.now().filter(horse=horse).exists():
        raise DeedRefused(f"{horse.name} stands at a yard already: move it from there.")
    stay = Stay.objects.create(horse=horse, yard=yard, is_yards_own=is_yards_own, from_at=now)
    horse_takes_place(horse, yard)
    act.line("horse.to_yard", horse, after={"yard": yard.name})
    everybody_joins(stay, by=act.access.person, now=now)
    return stay


def horse_takes_place(horse: Horse, yard: Yard) -> None:
    """Where it stands is the yard; a number for the night that is missing is the yard's."""
    horse.yard = yard.name
    if not horse.emergency_vet_phone:
        horse.emergency_vet_phone, horse.emergency_vet_name = yard.vet_phone, yard.vet_name
    if not horse.held_by:
        horse.held_by = yard.held_by
    horse.version += 1
    horse.save(
        update_fields=["yard", "emergency_vet_phone", "emergency_vet_name", "held_by", "version"]
    )


def yard_edit(*, access: YardAccess, version: int, fields: dict[str, Any], now: datetime) -> Yard:
    """Raises Conflict when somebody saved before. A changed emergency number is changed on every
    horse that has the yard's: an old one there is a danger."""
    _known(fields)
    with yard_deed(access, "yard.edit", now=now) as yard:
        changed = {k: v for k, v in fields.items() if getattr(yard, k) != v}
        if not changed:
            return yard
        if yard.version != version:
            raise Conflict(fields, {k: getattr(yard, k) for k in fields}, version=yard.version)
        before = {k: getattr(yard, k) for k in EDITABLE}
        for name, value in changed.items():
            setattr(yard, name, value)
        yard.version += 1
        yard.save(update_fields=[*changed, "version"])
        _horses_follow(access, yard, before, now)
        return yard


def _horses_follow(access: YardAccess, yard: Yard, before: dict[str, Any], now: datetime) -> None:
    for stay in Stay.objects.now().filter(yard=yard).order_by("horse_id"):
        horse = Horse.objects.select_for_update(no_key=True).get(pk=stay.horse_id)
        wanted: dict[str, Any] = {}
        if horse.yard == before["name"]:
            wanted["yard"] = yard.name
        if horse.emergency_vet_phone in ("", before["vet_phone"]):
            wanted["emergency_vet_phone"] = yard.vet_phone
            wanted["emergency_vet_name"] = yard.vet_name
        changed = {k: v for k, v in wanted.items() if getattr(horse, k) != v}
        if not changed:
            continue
        was = {k: getattr(horse, k) for k in changed}
        for name, value in changed.items():
            setattr(horse, name, value)
        horse.version += 1
        horse.save(update_fields=[*changed, "version"])
        case = Case.objects.get(horse=horse, kind=Case.Kind.ROUTINE)
        there = access_on(access.person, case)
        # who is left out of the horse says nothing on it: the board says that the number is new
        act = Deed(there or CaseAccess(access.person, case, Role.CARER), "", now)
        act.line("horse.edited", horse, before=was, after=changed, by_board=there is None)


def _known(fields: dict[str, Any]) -> None:
    unknown = set(fields) - set(EDITABLE)
    if unknown:
        raise ValueError(f"not fields of a yard: {sorted(unknown)}")
