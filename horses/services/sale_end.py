"""How a sale ends: the buyer has joined the standing care, and on its day those who leave go."""

from datetime import UTC, date, datetime, time

from django.db import transaction

from horses.access import CaseAccess
from horses.jobs.outbox import enqueue, job_handler
from horses.models import Case, Invitation, Membership, Role, Sale, Stay
from horses.services.deed import Deed
from horses.services.yard_people import goes


def buyer_joined(sale: Sale, case: Case, *, now: datetime) -> None:
    """Runs inside the deed of the joining. Another board than the standing care waits for that."""
    locked = Sale.objects.select_for_update(no_key=True).get(pk=sale.pk)
    if case.is_concern or locked.undone_at or locked.done_at:
        return
    locked.joined_at = now
    locked.save(update_fields=["joined_at"])
    if locked.leave_on <= now.date():
        _finish(locked, now)
    else:
        enqueue("horse.sale", locked.public_id, now=now, due_at=_start(locked.leave_on))


def _start(day: date) -> datetime:
    return datetime.combine(day, time(), tzinfo=UTC)


@job_handler("horse.sale")
@transaction.atomic
def sale_day(key: str, now: datetime) -> None:
    sale = Sale.objects.select_for_update(no_key=True).get(public_id=key)
    if not sale.joined_at or sale.done_at or sale.undone_at:
        return
    if owner_stays(sale):
        _finish(sale, now)
    else:
        sale_off(Deed(_as_seller(sale), "", now), sale)


def owner_stays(sale: Sale) -> bool:
    """Somebody owns the horse once those who leave have gone: the buyer may have left again."""
    owners = Membership.objects.filter(
        case__horse=sale.horse, case__kind=Case.Kind.ROUTINE, role=Role.OWNER, left_at=None
    )
    return owners.exclude(person__public_id__in=sale.leavers).exists()


def sale_off(act: Deed, sale: Sale) -> None:
    """The buyer's links open nothing any more, and nobody leaves."""
    sale.undone_at = act.now
    sale.save(update_fields=["undone_at"])
    open_ones = Invitation.objects.filter(sale=sale, accepted_at=None, revoked_at=None)
    open_ones.update(revoked_at=act.now)
    act.line("horse.sale_undone", sale, after={"email": sale.email})
    act.tell("horse.sale_undone", sale, f"{sale.horse.name}: the sale is off")


def _as_seller(sale: Sale) -> CaseAccess:
    standing = Case.objects.select_related("horse").get(horse=sale.horse, kind=Case.Kind.ROUTINE)
    return CaseAccess(sale.seller, standing, Role.OWNER)


def _finish(sale: Sale, now: datetime) -> None:
    """Who leaves goes from every board of the horse, those that do not pass on too: what is measured
    from now on is the buyer's. Whoever stays, stays as the buyer's own and through no yard; of the
    yard, only who was there when the seller said so."""
    rows = Membership.objects.filter(case__horse=sale.horse, left_at=None)
    rows = rows.select_related("case__horse", "person", "via__yard").order_by("case_id", "pk")
    seller = sale.seller
    for row in rows:
        came_since = row.via is not None and row.joined_at > sale.begun_at
        if row.person.public_id in sale.leavers or came_since:
            goes(row, by=seller, now=now)
        elif row.via is not None:
            row.via, row.runs_yard = None, False
            row.save(update_fields=["via", "runs_yard"])
    Stay.objects.now().filter(horse=sale.horse).update(until_at=now)
    sale.done_at = now
    sale.save(update_fields=["done_at"])
    Deed(_as_seller(sale), "", now).line("horse.sold", sale.horse, after={"email": sale.email})
