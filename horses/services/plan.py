"""The plan: its items proposed, changed, agreed or declined by each role."""

import hashlib
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.http import Http404
from django.urls import reverse

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess, require
from horses.domain.agreement import required_roles
from horses.ledger.canonical import canonical_text
from horses.models import Agreement, Case, PlanItem, PlanItemVersion
from horses.queries.plan_state import active_roles
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.plan_agreement import VERB_OF, word_record

# By whether it is a band. Its words and its numbers go together.
AGAIN = {True: "Set the band again instead.", False: "Propose the steps again instead."}
SAID = {"agree": "agreed to", "decline": "declined", "ask": "asks for a change to"}


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


def _emergency_checked(access: CaseAccess, content: ItemContent) -> None:
    if not content.emergency:
        return
    require(access, "plan.emergency")
    if not content.therapeutic:
        raise DeedRefused("What the vet sets alone is under the vet's direction.")
    if not content.reason.strip():
        raise DeedRefused("Say why it cannot wait: the others were not asked first.")


def _add_version(act: Deed, item: PlanItem, number: int, content: ItemContent) -> PlanItemVersion:
    required = required_roles((), active_roles(item.case), therapeutic=content.therapeutic)
    return act.row(
        PlanItemVersion.objects.create(
            item=item,
            number=number,
            therapeutic=content.therapeutic,
            text=content.text,
            who_does=content.who_does,
            from_on=content.from_on,
            until_on=content.until_on,
            target=content.target,
            reason=content.reason,
            proposed_by=act.access.person,
            proposed_role=act.access.role,
            proposed_at=act.now,
            required_roles=list(required),
            emergency=content.emergency,
            content_hash=content_hash(item.case, item.number, number, content),
        )
    )


def item_tell(
    act: Deed,
    verb: str,
    item: PlanItem,
    event: str,
    words: str,
    *,
    body: str = "",
    urgent: bool = False,
) -> None:
    access = act.access
    subject = f"{access.horse.name}: {access.person} {words} plan item {item.number}"
    path = reverse("plan_item", args=[access.case.public_id, item.public_id])
    act.tell(verb, event, subject, body=body, path=path, urgent=urgent)


def _tell_version(act: Deed, verb: str, version: PlanItemVersion, event: str, words: str) -> None:
    """A new item or version; one that the vet set alone is told as urgent, with what it says."""
    body = ""
    if version.emergency:
        words = "set, in force at once and still to be agreed,"
        body = f"{version.text}\nWhy it could not wait: {version.reason}"
    item_tell(act, verb, version.item, event, words, body=body, urgent=version.emergency)


def plan_item_propose(
    *, access: CaseAccess, content: ItemContent, client_key: str = "", now: datetime
) -> PlanItem:
    """Puts a new item on the plan; whoever proposes it has agreed to it for their own role."""
    action = "plan.therapeutic" if content.therapeutic else "plan.propose"
    with deed(access, action, now=now, key=client_key) as act:
        _emergency_checked(access, content)
        payload = {**asdict(content), "case": access.case.public_id}
        if earlier := act.made_before(PlanItem, payload):
            return earlier
        case = Case.objects.select_for_update(no_key=True).get(pk=access.case.pk)
        item = PlanItem.objects.create(
            case=case, number=case.plan_items.count() + 1, kind=content.kind, created_at=now
        )
        version = _add_version(act, item, 1, content)
        after = {
            "item": item.number,
            "version": 1,
            "text": content.text,
            "therapeutic": content.therapeutic,
            "emergency": content.emergency,
            "hash": version.content_hash,
        }
        act.line("plan.item.proposed", item, after=after)
        word_record(act, version, Agreement.Decision.AGREE)
        _tell_version(act, "plan.item.proposed", version, item.public_id, "proposed")
        act.evaluate()
        return act.made(item)


def item_locked(access: CaseAccess, item_id: str) -> PlanItem:
    """The item, and nobody else changes it meanwhile."""
    item = (
        PlanItem.objects.select_for_update(no_key=True)
        .filter(case=access.case, public_id=item_id)
        .first()
    )
    if item is None:
        raise Http404("no such plan item")
    return item


def must_be_open(item: PlanItem, *, field: str | None = None) -> None:
    if item.status != PlanItem.Status.OPEN:
        words = f"Item {item.number} is {item.get_status_display()} already."
        raise DeedRefused(words, field=field)


def latest_version(item: PlanItem) -> PlanItemVersion:
    version = item.versions.order_by("-number").first()
    assert version is not None  # an item is made with its first version in one transaction
    return version


def changed_meanwhile(now: PlanItemVersion, mine: dict[str, Any]) -> Conflict:
    """Somebody made another version of the item since the one that was read."""
    return Conflict(
        mine,
        {"text": now.text, "reason": now.reason},
        who=str(now.proposed_by),
        at=now.proposed_at,
        version=now.number,
    )


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
    with deed(access, "plan.propose", now=now) as act:
        item = item_locked(access, item_id)
        current = latest_version(item)
        if current.therapeutic or content.therapeutic:
            require(access, "plan.therapeutic")
        _emergency_checked(access, content)
        must_be_open(item)
        if current.number != seen_version:
            raise changed_meanwhile(current, {"text": content.text, "reason": content.reason})
        if content_hash(item.case, item.number, current.number, content) == current.content_hash:
            return current  # nothing was changed: nobody's word is voided
        if current.target is not None and not with_numbers:
            raise DeedRefused(AGAIN[item.kind == PlanItem.Kind.TARGET])
        return _revised(act, item, current, content)


def _revised(
    act: Deed, item: PlanItem, current: PlanItemVersion, content: ItemContent
) -> PlanItemVersion:
    item.version += 1
    item.save(update_fields=["version"])
    version = _add_version(act, item, current.number + 1, content)
    before = {"version": current.number, "text": current.text}
    after = {
        "item": item.number,
        "version": version.number,
        "text": content.text,
        "emergency": content.emergency,
        "hash": version.content_hash,
    }
    act.line("plan.item.changed", item, before=before, after=after)
    word_record(act, version, Agreement.Decision.AGREE)
    event = f"{item.public_id}:{version.number}"
    _tell_version(act, "plan.item.changed", version, event, "changed")
    act.evaluate()
    return version


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

    Raises Conflict when the item was changed since, DeedRefused when a "no" comes without why.
    """
    with deed(access, "plan.agree", now=now) as act:
        item = item_locked(access, item_id)
        must_be_open(item)
        version = latest_version(item)
        if version.content_hash != seen_hash:
            mine = {"decision": Agreement.Decision(decision).label, "reason": reason}
            raise changed_meanwhile(version, mine)
        if version.therapeutic and decision == Agreement.Decision.AGREE:
            require(access, "plan.agree_therapeutic")
        if decision != Agreement.Decision.AGREE and not reason.strip():
            words = "Say why: the others need to know what would make it right."
            raise DeedRefused(words, field="reason")
        last = version.agreements.filter(person=access.person, role=access.role).last()
        if last is not None and (last.decision, last.reason) == (decision, reason):
            return last  # the same word twice is one word
        word = word_record(act, version, decision, reason)
        item_tell(act, VERB_OF[decision], item, word.public_id, SAID[decision], body=reason)
        act.evaluate()
        return word
