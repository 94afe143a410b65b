"""What an owner decides about their horse and a yard: where it stands, and who of the yard is on it."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.http import Http404

from horses.access import CaseAccess, team_lock
from horses.models import LeftOut, Membership, Stay, Yard, YardMember
from horses.queries.move import Move, left_out_of, move_shown
from horses.queries.yards import stay_of
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.yard_people import everybody_joins, goes, let_on, place_on, standing_case
from horses.services.yards import horse_takes_place

CHANGED = "Who is where has changed since you looked. Read once more who goes and who comes."


def horse_move(
    *,
    access: CaseAccess,
    to_id: str,
    keep_ids: Sequence[str] = (),
    left_out_ids: Sequence[str] = (),
    asks_first: bool = False,
    seen: str,
    now: datetime,
) -> Stay | None:
    """The horse stands at another yard from now on, or at none. One deed: the people of the yard it
    leaves go, but for those whom the owner keeps as their own (`keep_ids`); the new yard's people
    come, but for those left out. `seen`: the mark of what the owner read."""
    with transaction.atomic():
        _yards_lock(access, to_id)
        with deed(access, "horse.move", now=now, team_first=True) as act:
            move = move_shown(access, to_id)
            if move.mark != seen:
                raise DeedRefused(CHANGED)
            if move.stay is None and move.to is None:
                raise DeedRefused("It stands at no yard.", field="to")
            _line(act, move, keep_ids, left_out_ids)
            if move.stay is not None:
                _leave(act, move, keep_ids)
            if move.to is None:
                return None
            return _arrive(act, move.to, left_out_ids, asks_first=asks_first)


def _yards_lock(access: CaseAccess, to_id: str) -> None:
    """Before any membership, as a yard's own deeds do it; in the order of their ids."""
    here = Stay.objects.now().filter(horse=access.horse).values_list("yard_id", flat=True)
    there = Yard.objects.filter(public_id=to_id).values_list("pk", flat=True)
    ids = {*here, *there}
    list(Yard.objects.filter(pk__in=ids).order_by("pk").select_for_update(no_key=True))


def _line(act: Deed, move: Move, keep_ids: Sequence[str], left_out_ids: Sequence[str]) -> None:
    goes_names = [str(m.person) for m in move.goes if m.public_id not in keep_ids]
    comes = [m for m in move.comes if m.public_id not in left_out_ids]
    after = {
        "yard": move.to.name if move.to else "",
        "goes": goes_names,
        "joins": [str(m.person) for m in comes],
        "left_out": [str(m.person) for m in move.comes if m not in comes],
    }
    before = {"yard": move.stay.yard.name if move.stay else ""}
    act.line("horse.moved", act.access.horse, before=before, after=after)
    where = f"moves to {move.to}" if move.to else "leaves the yard"
    event = f"{act.access.horse.public_id}:{act.access.case.last_seq}"
    act.tell("horse.moved", event, f"{act.access.horse.name} {where}")


def _leave(act: Deed, move: Move, keep_ids: Sequence[str]) -> None:
    assert move.stay is not None
    access, now = act.access, act.now
    kept = {m.person_id for m in move.goes if m.public_id in keep_ids} | {access.person.pk}
    rows = Membership.objects.filter(
        case__horse=access.horse, left_at=None, via__yard=move.stay.yard_id
    )
    for row in rows.select_related("case__horse", "person", "via__yard").order_by("case_id"):
        if row.person_id in kept:  # the owner's own from now on
            row.via = None
            row.save(update_fields=["via"])
        else:
            goes(row, by=access.person, now=now)
    move.stay.until_at = now
    move.stay.save(update_fields=["until_at"])


def _arrive(act: Deed, to: Yard, left_out_ids: Sequence[str], *, asks_first: bool) -> Stay:
    access, now = act.access, act.now
    horse = access.horse
    horse.refresh_from_db()
    stay = Stay.objects.create(horse=horse, yard=to, asks_first=False, from_at=now)
    for member in YardMember.objects.in_force().filter(yard=to, public_id__in=left_out_ids):
        LeftOut.objects.create(stay=stay, member=member, at=now, by=access.person)
    horse_takes_place(horse, to)
    everybody_joins(stay, by=access.person, now=now)
    if asks_first:  # from now on: who comes today was read above
        stay.asks_first = True
        stay.save(update_fields=["asks_first"])
    return stay


def let_in(*, access: CaseAccess, member_id: str, now: datetime) -> Membership:
    """The owner lets somebody of the yard on the horse who was left out of it."""
    with transaction.atomic():
        _yards_lock(access, "")
        with deed(access, "team.yard", now=now):
            member = next((m for m in left_out_of(access) if m.public_id == member_id), None)
            stay = stay_of(access.horse)
            if member is None or stay is None:
                raise Http404("nobody of this name is left out")
            case = standing_case(stay)
            if any(there.person_id == member.person_id for there in team_lock(case)):
                raise DeedRefused(f"{member.person} is on the team already.")
            place = place_on(stay, member)
            if place is None:
                raise DeedRefused(f"{member.person} has no part in the care of this horse.")
            LeftOut.objects.filter(stay=stay, member=member, until_at=None).update(until_at=now)
            return let_on(case, member, place, now=now)


def asks_first_set(*, access: CaseAccess, asks_first: bool, now: datetime) -> Stay:
    """Whether the owner is asked before somebody new of the yard comes on the horse."""
    with deed(access, "team.yard", now=now) as act:
        stay = Stay.objects.now().select_for_update(no_key=True).filter(horse=access.horse).first()
        if stay is None:
            raise DeedRefused("It stands at no yard.")
        if stay.asks_first == asks_first:
            return stay
        stay.asks_first = asks_first
        stay.save(update_fields=["asks_first"])
        act.line("horse.yard_asks", stay, after={"asks_first": asks_first})
        return stay
