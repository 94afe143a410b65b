"""The end of a plan item: done, or withdrawn by the role that proposed it."""

from datetime import datetime

from django.core.exceptions import PermissionDenied

from horses.access import CaseAccess
from horses.domain.agreement import side_of
from horses.models import PlanItem, PlanItemVersion, Role
from horses.services.deed import DeedRefused, deed
from horses.services.plan import changed_meanwhile, item_locked, item_tell, latest_version
from horses.services.versions import conflict_over


def plan_item_finish(
    *,
    access: CaseAccess,
    item_id: str,
    status: str,
    reason: str,
    seen_version: int | None = None,
    now: datetime,
) -> PlanItem:
    """Marks an item done, or withdraws it. Therapeutic ones: the vet; withdrawing: who proposed.

    Raises Conflict when the item was changed since the version that was seen, or has ended.
    """
    with deed(access, "plan.finish", now=now) as act:
        item = item_locked(access, item_id)
        version = latest_version(item)
        if (item.status, item.status_reason) == (status, reason):
            return item  # the same form sent twice
        withdrawing = status == PlanItem.Status.WITHDRAWN
        _may_end(access, version, withdrawing=withdrawing)
        _still_as_seen(access, item, version, seen_version, status, reason)
        if withdrawing and not reason.strip():
            raise DeedRefused("Say why it is withdrawn.", field="reason")
        item.status, item.status_at, item.status_reason = PlanItem.Status(status), now, reason
        item.version += 1
        item.save(update_fields=["status", "status_at", "status_reason", "version"])
        verb = f"plan.item.{status}"
        act.line(verb, item, after={"item": item.number, "reason": reason})
        words = "withdrew" if withdrawing else "marked as done"
        item_tell(act, verb, item, item.public_id, words)
        act.evaluate()
        return item


def _may_end(access: CaseAccess, version: PlanItemVersion, *, withdrawing: bool) -> None:
    if version.therapeutic and access.role != Role.VET:
        raise PermissionDenied("A therapeutic item is finished or withdrawn by the vet.")
    if not (withdrawing or version.therapeutic or access.role == side_of(version.who_does)):
        raise PermissionDenied(
            f"Only the {version.get_who_does_display()}, whose job it is, marks it as done."
        )
    if withdrawing and access.role != version.proposed_role:
        raise PermissionDenied(
            f"Only the {version.get_proposed_role_display()} who proposed it withdraws it. "
            "You can decline it or ask for a change."
        )


def _still_as_seen(
    access: CaseAccess,
    item: PlanItem,
    version: PlanItemVersion,
    seen: int | None,
    status: str,
    reason: str,
) -> None:
    """Raises Conflict when somebody ended the item already, or changed what it says."""
    mine = {"status": PlanItem.Status(status).label, "reason": reason}
    if item.status != PlanItem.Status.OPEN:
        theirs = {"status": item.get_status_display(), "reason": item.status_reason}
        raise conflict_over(access, item, mine=mine, theirs=theirs)
    if seen is not None and version.number != seen:
        raise changed_meanwhile(version, mine)
