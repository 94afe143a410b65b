"""What there is to pass on when a horse is sold."""

from collections.abc import Sequence

from horses.access import CaseAccess, access_on
from horses.models import Case, Horse, Membership, Role, Sale


def sale_open(horse: Horse) -> Sale | None:
    """The sale that has begun and neither ended nor been undone."""
    return Sale.objects.filter(horse=horse, done_at=None, undone_at=None).first()


def boards_to_pass(access: CaseAccess) -> list[Case]:
    """The open boards of the horse where the person is owner, the standing care first."""
    cases = Case.objects.filter(horse=access.horse, closed_at=None).order_by("-kind", "pk")
    mine = ((case, access_on(access.person, case)) for case in cases)
    return [case for case, here in mine if here is not None and here.role == Role.OWNER]


def goes_unless_said(team: Sequence[Membership]) -> list[str]:
    """Who goes unless the seller says otherwise: the owners, their carers and a yard's people. A vet
    and a farrier of one's own know the horse; they stay, and the buyer decides about them."""
    own = (Role.FARRIER, Role.VET)
    return [m.public_id for m in team if m.via_id is not None or m.role not in own]
