"""The plan: proposed, changed, agreed or declined by each role, finished or withdrawn."""

import hashlib
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404
from django.urls import reverse

from caseboard.lib.errors import Conflict
from horses.access import TEAM_AUDIENCE, CaseAccess, require
from horses.domain.agreement import required_roles, side_of
from horses.ledger.append import history_append
from horses.ledger.canonical import canonical_text
from horses.models import Agreement, Case, PlanItem, PlanItemVersion, Role
from horses.notices.create import notify
from horses.queries.plan_state import active_roles, version_state
from horses.rules.engine import evaluation_enqueue
from horses.services.idempotency import idempotent
from horses.services.versions import conflict_over


class PlanRefused(Exception):
    """The plan cannot be changed like this, with the reason in words."""


# By whether it is a band. Its words and its numbers go together.
AGAIN = {True: "Set the band again instead.", False: "Propose the steps again instead."}


@dataclass(frozen=True)
class ItemContent:
    """What people agree to. Its hash is taken over exactly this."""

    kind: str
    therapeutic: bool
    text: str
    who_does: str
    from_on: date | None = None
    until_on: date | None = None
    target: dict[str, Any] | None = None
    reason: str = ""
    emergency: bool = False  # set by the vet alone, in force before the others have answered


def content_hash(case: Case, number: int, version: int, content: ItemContent) -> str:
    """The fingerprint of one exact version of one exact item."""
    fields = asdict(content)
    for name in ("from_on", "until_on"):
        fields[name] = str(fields[name]) if fields[name] else ""
    if not content.emergency:
        del fields["emergency"]  # the fingerprints from before there was the word stay true
    text = canonical_text({"case": case.public_id, "item": number, "version": version, **fields})
    return hashlib.sha256(text.encode()).hexdigest()


def _may_write(access: CaseAccess, content: ItemContent) -> None:
    require(access, "plan.therapeutic" if content.therapeutic else "plan.propose")
    if content.emergency:
        require(access, "plan.emergency")
        if not content.therapeutic:
            raise PlanRefused("What the vet sets alone is under the vet's direction.")
        if not content.reason.strip():
            raise PlanRefused("Say why it cannot wait: the others were not asked first.")


def _add_version(
    item: PlanItem, number: int, content: ItemContent, access: CaseAccess, now: datetime
) -> PlanItemVersion:
    required = required_roles((), active_roles(item.case), therapeutic=content.therapeutic)
    return PlanItemVersion.objects.create(
        item=item,
        number=number,
        therapeutic=content.therapeutic,
        text=content.text,
        who_does=content.who_does,
        from_on=content.from_on,
        until_on=content.until_on,
        target=content.target,
        reason=content.reason,
        proposed_by=access.person,
        proposed_role=access.role,
        proposed_at=now,
        required_roles=list(required),
        emergency=content.emergency,
        content_hash=content_hash(item.case, item.number, number, content),
    )


def _tell(
    access: CaseAccess,
    verb: str,
    item: PlanItem,
    event: str,
    words: str,
    now: datetime,
    *,
    body: str = "",
    urgent: bool = False,
) -> None:
    notify(
        event=f"{verb}:{event}",
        case=access.case,
        verb=verb,
        subject=f"{access.horse.name}: {access.person} {words} plan item {item.number}",
        path=reverse("plan_item", args=[access.case.public_id, item.public_id]),
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
        body=body,
        urgent=urgent,
    )


def _tell_version(
    access: CaseAccess, verb: str, version: PlanItemVersion, event: str, words: str, now: datetime
) -> None:
    """A new item or version; one that the vet set alone is told as urgent, with what it says."""
    body = ""
    if version.emergency:
        words = "set, in force at once and still to be agreed,"
        body = f"{version.text}\nWhy it could not wait: {version.reason}"
    _tell(access, verb, version.item, event, words, now, body=body, urgent=version.emergency)


@transaction.atomic
def plan_item_propose(
    *, access: CaseAccess, content: ItemContent, client_key: str = "", now: datetime
) -> PlanItem:
    """Puts a new item on the plan; whoever proposes it has agreed to it for their own role."""
    _may_write(access, content)

    def make() -> PlanItem:
        case = Case.objects.select_for_update(no_key=True).get(pk=access.case.pk)
        item = PlanItem.objects.create(
            case=case, number=case.plan_items.count() + 1, kind=content.kind, created_at=now
        )
        version = _add_version(item, 1, content, access, now)
        history_append(
            case=case,
            actor=access.person,
            role=access.role,
            verb="plan.item.proposed",
            subject=item.public_id,
            now=now,
            rows=[version],
            after={
                "item": item.number,
                "version": 1,
                "text": content.text,
                "therapeutic": content.therapeutic,
                "emergency": content.emergency,
                "hash": version.content_hash,
            },
        )
        _record_word(access, version, Agreement.Decision.AGREE, "", now)
        _tell_version(access, "plan.item.proposed", version, item.public_id, "proposed", now)
        evaluation_enqueue(access.horse, now=now)
        return item

    payload = {**asdict(content), "case": access.case.public_id}
    return idempotent(access.person, client_key, payload, now=now, make=make, model=PlanItem)


def _item_locked(access: CaseAccess, item_id: str) -> PlanItem:
    item = (
        PlanItem.objects.select_for_update(no_key=True)
        .filter(case=access.case, public_id=item_id)
        .first()
    )
    if item is None:
        raise Http404("no such plan item")
    return item


def _must_be_open(item: PlanItem) -> None:
    if item.status != PlanItem.Status.OPEN:
        raise PlanRefused(f"Item {item.number} is {item.get_status_display()} already.")


def latest_version(item: PlanItem) -> PlanItemVersion:
    version = item.versions.order_by("-number").first()
    assert version is not None  # an item is made with its first version in one transaction
    return version


def _changed_meanwhile(now: PlanItemVersion, mine: dict[str, Any]) -> Conflict:
    """Somebody made another version of the item since the one that was read."""
    return Conflict(
        mine,
        {"text": now.text, "reason": now.reason},
        who=str(now.proposed_by),
        at=now.proposed_at,
        version=now.number,
    )


@transaction.atomic
def plan_item_revise(
    *,
    access: CaseAccess,
    item_id: str,
    seen_version: int,
    content: ItemContent,
    with_numbers: bool = False,
    now: datetime,
) -> PlanItemVersion:
    """A new version: every agreement to the old one is void, except the editor's own word.

    A therapeutic item is changed by the vet only, and stays therapeutic unless the vet says
    otherwise. An item that holds numbers (a band, steps) is changed `with_numbers` only: words
    changed by themselves could say the opposite of what the foot is compared with. Raises Conflict
    when another version came in between.
    """
    require(access, "plan.propose")  # first: memberships are locked before anything else
    item = _item_locked(access, item_id)
    current = latest_version(item)
    if current.therapeutic or content.therapeutic:
        require(access, "plan.therapeutic")
    _may_write(access, content)
    _must_be_open(item)
    if current.number != seen_version:
        raise _changed_meanwhile(current, {"text": content.text, "reason": content.reason})
    if content_hash(item.case, item.number, current.number, content) == current.content_hash:
        return current  # nothing was changed: nobody's word is voided
    if current.target is not None and not with_numbers:
        raise PlanRefused(AGAIN[item.kind == PlanItem.Kind.TARGET])
    item.version += 1
    item.save(update_fields=["version"])
    version = _add_version(item, current.number + 1, content, access, now)
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb="plan.item.changed",
        subject=item.public_id,
        now=now,
        before={"version": current.number, "text": current.text},
        rows=[version],
        after={
            "item": item.number,
            "version": version.number,
            "text": content.text,
            "emergency": content.emergency,
            "hash": version.content_hash,
        },
    )
    _record_word(access, version, Agreement.Decision.AGREE, "", now)
    event = f"{item.public_id}:{version.number}"
    _tell_version(access, "plan.item.changed", version, event, "changed", now)
    evaluation_enqueue(access.horse, now=now)
    return version


def _record_word(
    access: CaseAccess, version: PlanItemVersion, decision: str, reason: str, now: datetime
) -> Agreement:
    before = version_state(version, active_roles(access.case))
    word = Agreement.objects.create(
        version=version,
        content_hash=version.content_hash,
        person=access.person,
        person_name=str(access.person),
        role=access.role,
        decision=decision,
        reason=reason,
        decided_at=now,
    )
    verb = {"agree": "agreed", "decline": "declined", "ask": "change_asked"}[decision]
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb=f"plan.item.{verb}",
        subject=version.item.public_id,
        now=now,
        rows=[word],
        after={
            "item": version.item.number,
            "version": version.number,
            "hash": version.content_hash,
            "reason": reason,
        },
    )
    after = version_state(version, active_roles(access.case))
    if after.is_agreed and not before.is_agreed:
        history_append(
            case=access.case,
            actor=None,
            role="",
            verb="plan.item.agreed_by_all",
            subject=version.item.public_id,
            now=now,
            after={
                "item": version.item.number,
                "version": version.number,
                "hash": version.content_hash,
                "roles": list(after.marks),
            },
        )
    return word


@transaction.atomic
def plan_item_decide(
    *,
    access: CaseAccess,
    item_id: str,
    seen_hash: str,
    decision: str,
    reason: str = "",
    now: datetime,
) -> Agreement:
    """One person's word, for their own role, on exactly what they were shown.

    Raises Conflict when the item was changed since, PlanRefused when a "no" comes without why.
    """
    require(access, "plan.agree")
    item = _item_locked(access, item_id)
    _must_be_open(item)
    version = latest_version(item)
    if version.content_hash != seen_hash:
        mine = {"decision": Agreement.Decision(decision).label, "reason": reason}
        raise _changed_meanwhile(version, mine)
    if version.therapeutic and decision == Agreement.Decision.AGREE:
        require(access, "plan.agree_therapeutic")
    if decision != Agreement.Decision.AGREE and not reason.strip():
        raise PlanRefused("Say why: the others need to know what would make it right.")
    last = version.agreements.filter(person=access.person, role=access.role).last()
    if last is not None and (last.decision, last.reason) == (decision, reason):
        return last  # the same word twice is one word
    word = _record_word(access, version, decision, reason, now)
    verbs = {"agree": "agreed to", "decline": "declined", "ask": "asks for a change to"}
    verb = {"agree": "agreed", "decline": "declined", "ask": "change_asked"}[decision]
    _tell(access, f"plan.item.{verb}", item, word.public_id, verbs[decision], now, body=reason)
    evaluation_enqueue(access.horse, now=now)
    return word


def _finish_seen(
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
        raise _changed_meanwhile(version, mine)


@transaction.atomic
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
    require(access, "plan.finish")
    item = _item_locked(access, item_id)
    version = latest_version(item)
    if (item.status, item.status_reason) == (status, reason):
        return item  # the same form sent twice
    if version.therapeutic and access.role != Role.VET:
        raise PermissionDenied("A therapeutic item is finished or withdrawn by the vet.")
    withdrawing = status == PlanItem.Status.WITHDRAWN
    if not (withdrawing or version.therapeutic or access.role == side_of(version.who_does)):
        raise PermissionDenied(
            f"Only the {version.get_who_does_display()}, whose job it is, marks it as done."
        )
    if withdrawing and access.role != version.proposed_role:
        raise PermissionDenied(
            f"Only the {version.get_proposed_role_display()} who proposed it withdraws it. "
            "You can decline it or ask for a change."
        )
    _finish_seen(access, item, version, seen_version, status, reason)
    if withdrawing and not reason.strip():
        raise PlanRefused("Say why it is withdrawn.")
    item.status, item.status_at, item.status_reason = PlanItem.Status(status), now, reason
    item.version += 1
    item.save(update_fields=["status", "status_at", "status_reason", "version"])
    history_append(
        case=access.case,
        actor=access.person,
        role=access.role,
        verb=f"plan.item.{status}",
        subject=item.public_id,
        now=now,
        after={"item": item.number, "reason": reason},
    )
    words = "withdrew" if withdrawing else "marked as done"
    _tell(access, f"plan.item.{status}", item, item.public_id, words, now)
    evaluation_enqueue(access.horse, now=now)
    return item
