"""Selling a horse: the buyer is asked, and those who leave go once the buyer is here."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from horses.access import CaseAccess, access_on, team_lock
from horses.models import Horse, Role, Sale
from horses.queries.sale import boards_to_pass, sale_open
from horses.services.deed import DeedRefused, deed
from horses.services.invitations import invitation_create
from horses.services.sale_end import owner_stays, sale_off


def horse_sell(
    *,
    access: CaseAccess,
    email: str,
    board_ids: Sequence[str],
    leaver_ids: Sequence[str],
    leave_on: date,
    now: datetime,
) -> Sale:
    """Asks the buyer to join as owner on each board that passes on, the standing care always.
    `leaver_ids`: memberships of the standing care that end; the seller's place is one of them or
    stays, as they say."""
    with deed(access, "horse.sell", now=now) as act:
        horse = Horse.objects.select_for_update(no_key=True).get(pk=access.horse.pk)
        if sale_open(horse) is not None:
            raise DeedRefused("A sale of this horse has begun already. Undo that one first.")
        boards = boards_to_pass(access)
        standing = boards[0] if boards and not boards[0].is_concern else None
        if standing is None:
            raise DeedRefused("Only an owner of its standing care sells a horse.")
        chosen = [case for case in boards if case == standing or case.public_id in board_ids]
        leaving = [m for m in team_lock(standing) if m.public_id in leaver_ids]
        sale = Sale.objects.create(
            horse=horse,
            seller=access.person,
            email=email.strip(),
            begun_at=now,
            leave_on=leave_on,
            leavers=[m.person.public_id for m in leaving],
        )
        for case in chosen:
            here = access_on(access.person, case)
            assert here is not None  # boards_to_pass has looked
            there = replace(here, fresh=access.fresh)
            invitation_create(access=there, email=email, role=Role.OWNER, sale=sale, now=now)
        names = sorted(str(m.person) for m in leaving)
        after = {
            "email": sale.email,
            "boards": [case.title for case in chosen],
            "leave": names,
            "on": str(leave_on),
        }
        act.line("horse.sale_begun", sale, after=after)
        subject = f"{horse.name} is being sold: {sale.email} is asked to join as owner"
        act.tell("horse.sale_begun", sale, subject)
        return sale


def sale_undo(*, access: CaseAccess, now: datetime) -> Sale:
    """The sale is off: the buyer's links open nothing any more. Once they have joined, it is theirs,
    unless they have left again."""
    with deed(access, "horse.sell", now=now) as act:
        found = sale_open(access.horse)
        if found is None:
            raise DeedRefused("There is no sale to call off.")
        sale = Sale.objects.select_for_update(no_key=True).get(pk=found.pk)
        if sale.joined_at is not None and owner_stays(sale):
            raise DeedRefused("The new owner has joined already: settle it with them.")
        sale_off(act, sale)
        return sale
