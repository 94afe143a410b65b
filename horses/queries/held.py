"""The owners without an account whose horses are held, as their teams read of them."""

from collections.abc import Iterable

from horses.access import CaseAccess
from horses.models import OwnerContact


def contact_of(access: CaseAccess) -> OwnerContact | None:
    """What is kept of the owner; None once it was erased or taken over, and of a horse not held."""
    return contacts_of([access.case.horse_id]).get(access.case.horse_id)


def contacts_of(horses: Iterable[int]) -> dict[int, OwnerContact]:
    """By horse; for callers that start from the horses a person may see."""
    rows = OwnerContact.objects.filter(horse__in=list(horses), erased_at=None)
    return {row.horse_id: row for row in rows.select_related("kept_by") if row.is_kept}
