"""The deeds on the plan: its sheets and items, notes, and somebody who goes."""

from typing import Any

from horses.access import CaseAccess
from horses.models import Case
from horses.services.notes import note_write
from horses.services.plan import (
    latest_version,
    plan_item_decide,
    plan_item_propose,
    plan_item_revise,
)
from horses.services.plan_end import plan_item_finish
from horses.services.plan_words import plan_item_reply
from horses.services.sheets import sheet_issue
from horses.services.team import member_remove
from tests import build
from tests.deed import Deed, Do
from tests.stage import Stage


def _decide(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    return plan_item_decide(
        item_id=stage.item.public_id,
        seen_hash=latest_version(stage.item).content_hash,
        decision="agree",
        **shared,
    )


def _finish(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    """Each role finishes what is its own job; the stage's item is the owner's."""
    item = stage.item if access.role not in ("farrier", "vet") else stage.items_of[access.role]
    return plan_item_finish(item_id=item.public_id, status="done", reason="", **shared)


def _revise(therapeutic: bool) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        content = build.content("Softer ground still.", therapeutic=therapeutic)
        return plan_item_revise(
            item_id=stage.item.public_id, seen_version=1, content=content, **shared
        )

    return do


def _propose(therapeutic: bool) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        text = "Walk less." if twist else "Walk in hand daily."
        return plan_item_propose(content=build.content(text, therapeutic=therapeutic), **shared)

    return do


def _set_alone(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    text = "Box rest today." if twist else "Box rest from now."
    content = build.content(text, therapeutic=True, emergency=True, reason="It cannot wait.")
    return plan_item_propose(content=content, **shared)


def _reply(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    words = "Not before Friday." if twist else "Two weeks are enough."
    return plan_item_reply(item_id=stage.asked.public_id, words=words, **shared)


def _issue(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    """What it says does not matter here; `twist` is another state of the board."""
    seen = Case.objects.get(pk=access.case.pk).last_seq
    stage.seen_seq = seen if not stage.seen_seq or twist else stage.seen_seq
    return sheet_issue(content={"of": "a test"}, seen_seq=stage.seen_seq, **shared)


DEEDS: tuple[Deed, ...] = (
    Deed("issue a plan sheet", "sheet.issue", "sheet.issued", _issue, keyed=True, tells=True),
    Deed(
        "write a note",
        "note.write",
        "note.written",
        lambda st, s, k, t: note_write(body="Two." if t else "One.", audience=build.TEAM, **k),
        keyed=True,
        tells=True,
    ),
    Deed(
        "propose a plan item",
        "plan.propose",
        "plan.item.proposed",
        _propose(False),
        keyed=True,
        tells=True,
    ),
    Deed(
        "propose a therapeutic item",
        "plan.therapeutic",
        "plan.item.proposed",
        _propose(True),
        keyed=True,
        tells=True,
    ),
    Deed("change a plan item", "plan.propose", "plan.item.changed", _revise(False), tells=True),
    Deed(
        "make a plan item therapeutic",
        "plan.therapeutic",
        "plan.item.changed",
        _revise(True),
        tells=True,
    ),
    Deed(
        "set an item alone",
        "plan.emergency",
        "plan.item.proposed",
        _set_alone,
        keyed=True,
        tells=True,
    ),
    Deed(
        "reply about a plan item", "plan.reply", "plan.item.replied", _reply, keyed=True, tells=True
    ),
    Deed("agree to a plan item", "plan.agree", "plan.item.agreed", _decide, tells=True),
    Deed(
        "agree to a therapeutic item",
        "plan.agree_therapeutic",
        "plan.item.agreed",
        lambda st, s, k, t: plan_item_decide(
            item_id=st.therapeutic.public_id,
            seen_hash=latest_version(st.therapeutic).content_hash,
            decision="agree",
            reason="Until May." if t else "Good.",
            **k,
        ),
        tells=True,
    ),
    Deed("finish a plan item", "plan.finish", "plan.item.done", _finish, tells=True),
    Deed(
        "remove somebody",
        "team.remove",
        "team.removed",
        lambda st, s, k, t: member_remove(membership_id=st.member("stand_in").public_id, **k),
        tells=True,
    ),
)
