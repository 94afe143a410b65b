"""A person's word on one version of a plan item: the row, its line, and whether that makes it agreed."""

from horses.models import Agreement, PlanItemVersion
from horses.queries.plan_state import active_roles, version_state
from horses.services.deed import Deed

VERB_OF = {
    "agree": "plan.item.agreed",
    "decline": "plan.item.declined",
    "ask": "plan.item.change_asked",
}


def word_record(act: Deed, version: PlanItemVersion, decision: str, reason: str = "") -> Agreement:
    """Writes the word within a deed on the item, which has asked for the right."""
    access = act.access
    before = version_state(version, active_roles(access.case))
    word = act.row(
        Agreement.objects.create(
            version=version,
            content_hash=version.content_hash,
            person=access.person,
            person_name=str(access.person),
            role=access.role,
            decision=decision,
            reason=reason,
            decided_at=act.now,
        )
    )
    of = {
        "item": version.item.number,
        "version": version.number,
        "hash": version.content_hash,
    }
    act.line(VERB_OF[decision], version.item, after={**of, "reason": reason})
    after = version_state(version, active_roles(access.case))
    if after.is_agreed and not before.is_agreed:
        roles = {**of, "roles": list(after.marks)}
        act.line("plan.item.agreed_by_all", version.item, after=roles, by_board=True)
    return word
