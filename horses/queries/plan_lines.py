"""The plan of a case, line by line: each item's newest version and where that stands."""

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field

from django.db.models import Prefetch, prefetch_related_objects

from horses.access import CaseAccess
from horses.domain.agreement import Agreed, in_force
from horses.domain.newcomers import new_vet_words
from horses.domain.wording import listed
from horses.models import AGREEING_ROLES, Agreement, Membership, PlanItem, PlanItemVersion
from horses.queries.board import short_day
from horses.queries.plan_state import MARK_OF, said_words, version_state, words_beside


@dataclass(frozen=True)
class PlanLine:
    """One plan item as everyone reads it: its newest version and where that stands."""

    item: PlanItem
    version: PlanItemVersion
    state: Agreed
    my_word_missing: bool
    names: dict[str, str]  # role -> who said so and when, in words
    vacant: tuple[str, ...]  # required roles with nobody on the team
    # role -> the words of its other people, where they are not of one mind: "agreed: Vera Vet, 2 Nov"
    others: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    reply_waits: bool = False  # somebody replied to my "no" or my wish, and I said nothing since
    new_vet_words: str = ""  # that the vet's word is from somebody new here (see newcomers.py)

    @property
    def is_open(self) -> bool:
        return self.item.status == PlanItem.Status.OPEN

    @property
    def set_alone(self) -> bool:
        """Set by the vet alone, and not agreed by the others yet."""
        return self.version.emergency and self.is_open and not self.state.is_agreed

    @property
    def in_force(self) -> bool:
        return self.is_open and in_force(self.state, emergency=self.version.emergency)

    @property
    def missing_words(self) -> str:
        """ "owner and farrier missing; vet declined": what keeps it from being agreed."""
        said = {"waiting": "missing", "asked": "asks for a change", "declined": "declined"}
        parts = []
        for mark, words in said.items():
            roles = [role for role in self.state.missing if self.state.marks[role] == mark]
            parts += [f"{listed(roles)} {words}"] if roles else []
        return "; ".join(parts)


def plan_for(
    access: CaseAccess,
    *,
    open_only: bool = False,
    members: Sequence[Membership] | None = None,
) -> list[PlanLine]:
    """The plan of the case, item by item. `members`: everybody who is or was on the case, for a
    page that has read them already."""
    versions = PlanItemVersion.objects.select_related("proposed_by").prefetch_related("agreements")
    if members is None:
        members = list(Membership.objects.filter(case=access.case).select_related("person"))
    case = copy(
        access.case
    )  # with its members as they were read; that of the access stays as it is
    case._prefetched_objects_cache = {  # type: ignore[attr-defined]  # Django's own, not in its types
        "memberships": [m for m in members if m.case_id == case.pk]
    }
    items = PlanItem.objects.filter(case=case).prefetch_related(
        Prefetch("versions", queryset=versions.order_by("number"))
    )
    if open_only:
        items = items.filter(status=PlanItem.Status.OPEN)
    held = {m.role for m in case.memberships.all() if m.left_at is None}
    roles = [role.value for role in AGREEING_ROLES if role in held]
    lines = []
    rows = list(items)
    newest = [list(item.versions.all())[-1] for item in rows]
    prefetch_related_objects([v for v in newest if _objected(access, v)], "replies")
    for item in rows:
        item.case = case
        lines.append(plan_line(item, list(item.versions.all())[-1], roles, access))
    return lines


def plan_line(
    item: PlanItem, version: PlanItemVersion, roles: list[str], access: CaseAccess
) -> PlanLine:
    state = version_state(version, roles)
    names: dict[str, str] = {}
    mine: Agreement | None = None
    last = {(word.person_id, word.role): word for word in version.agreements.all()}
    for word in last.values():
        if MARK_OF[word.decision] == state.marks.get(word.role):  # whose word made the mark
            names[word.role] = f"{word.person_name}, {short_day(word.decided_at)}"
        if word.person_id == access.person.pk and word.role == access.role:
            mine = word
    asked = (
        item.status == PlanItem.Status.OPEN
        and access.case.is_open
        and access.role in AGREEING_ROLES
    )
    replied = mine is not None and _replied_to(mine, version)
    others = {
        role: tuple(f"{said_words(w)}, {short_day(w.decided_at)}" for w in rest)
        for role in names
        if (rest := words_beside(role, list(last.values()), state.marks[role]))
    }
    vacant = tuple(role for role in state.marks if role not in roles)
    waiting = mine is None and state.marks.get(access.role) == "waiting"
    return PlanLine(
        item,
        version,
        state,
        asked and (waiting or replied),
        names,
        vacant,
        others,
        asked and replied,
        new_vet_words(version, last.values()),
    )


def _objected(access: CaseAccess, version: PlanItemVersion) -> bool:
    """Whether this person ever said "no" to it or asked for a change."""
    return any(
        word.person_id == access.person.pk and word.decision != Agreement.Decision.AGREE
        for word in version.agreements.all()
    )


def _replied_to(word: Agreement, version: PlanItemVersion) -> bool:
    """Whether somebody else has replied since this "no" or this wish for a change."""
    return word.decision != Agreement.Decision.AGREE and any(
        reply.person_id != word.person_id and reply.said_at >= word.decided_at
        for reply in version.replies.all()
    )
