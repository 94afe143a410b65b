"""Horses of a yard: many added at once, each with what is known of it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from horses.access import CaseAccess, access_get, access_on
from horses.access_yard import YardAccess
from horses.domain.horse_lines import HorseLine
from horses.models import Case, Foot, Horse, ShoeChange, Shoeing, Trim, Yard
from horses.models.base import AppendOnly
from horses.rules.engine import evaluation_enqueue
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.horses import horse_create
from horses.services.idempotency import key_claim, key_result
from horses.services.visit_planning import horse_lock
from horses.services.visits import trim_ensure
from horses.services.yards import stay_begin, yard_deed

HANDLING_LENGTH = 500


def horses_add(
    *, access: YardAccess, lines: Sequence[HorseLine], client_key: str = "", now: datetime
) -> list[Horse]:
    """The yard's own horses: its managers stand as their owner, its people join at once."""
    with yard_deed(access, "yard.add_horses", now=now) as yard:
        if any(line.problems for line in lines):
            raise DeedRefused("Some lines cannot be added like this yet.", field="lines")
        key, earlier = None, None
        if client_key:
            payload = {"yard": yard.public_id, "lines": [line.text for line in lines]}
            key, earlier = key_claim(access.person, client_key, payload, Yard, now=now)
        if earlier is not None:
            return []
        made = [_add(access, yard, line, now) for line in lines]
        if key is not None:
            key_result(key, yard)
        return made


def _add(access: YardAccess, yard: Yard, line: HorseLine, now: datetime) -> Horse:
    fields: dict[str, Any] = {
        "name": line.name,
        "born_on": line.born_on,
        "sex": line.sex,
        "handling": line.not_read[:HANDLING_LENGTH],
        "interval_days": yard.interval_days,
    }
    horse = horse_create(person=access.person, fields=fields, via=access.member, now=now)
    case = Case.objects.get(horse=horse)
    here = access_on(access.person, case)
    assert here is not None  # who makes a horse is on its board
    act = Deed(here, "", now)
    stay_begin(act=act, yard=yard, is_yards_own=True, now=now)
    known_say(act, trimmed_on=line.trimmed_on, shod=line.shod)
    evaluation_enqueue(horse, now=now)
    horse.refresh_from_db()  # with what it has from the yard
    return horse


def known_say(act: Deed, *, trimmed_on: date | None, shod: Sequence[str] | None) -> None:
    """What somebody says of the time before the horse was on the board: when it was last trimmed,
    and how it is shod. Marked as said; it counts for what is due, and no hand is known for it."""
    access, now = act.access, act.now
    rows: list[AppendOnly] = []
    for foot in Foot.values if trimmed_on else ():
        assert trimmed_on is not None
        rows += trim_ensure(access.horse, foot, trimmed_on, visit=None, now=now)
    for foot in Foot.values if shod is not None else ():
        on = trimmed_on or now.date()
        rows.append(_shoe_said(access, foot, foot in (shod or ()), on, now))
    if not rows:
        return
    act.rows(rows)
    after = {"trimmed_on": str(trimmed_on or ""), "shod": list(shod) if shod is not None else None}
    act.line("horse.known", access.horse, after=after)


def _shoe_said(access: CaseAccess, foot: str, is_shod: bool, on: date, now: datetime) -> ShoeChange:
    return ShoeChange.objects.create(
        horse=access.horse,
        case=access.case,
        foot=foot,
        kind=ShoeChange.Kind.SAID,
        shoeing_left=Shoeing.SHOD if is_shod else Shoeing.BAREFOOT,
        changed_on=on,
        recorded_by=access.person,
        recorded_role=access.role,
        recorded_at=now,
    )


def last_trims_say(*, access: YardAccess, days: Mapping[str, date], now: datetime) -> int:
    """When horses of the yard were last trimmed, by their standing cases: said once, of a horse of
    which no trim is known. Says of how many."""
    with yard_deed(access, "yard.add_horses", now=now):
        for case_id, day in days.items():
            here = access_get(access.person, case_id)
            with deed(here, "horse.edit", now=now) as act:
                horse_lock(act.access.horse)
                if not Trim.objects.in_force().filter(horse=here.horse).exists():
                    known_say(act, trimmed_on=day, shod=None)
                    act.evaluate()
        return len(days)
