"""Where a plan item's version stands, from the team and from what was said about it."""

from collections.abc import Iterable, Sequence

from horses.domain.agreement import Agreed, Word, agreement_state, last_words, required_roles
from horses.models import AGREEING_ROLES, Agreement, Case, Membership, PlanItemVersion

MARK_OF = {"agree": "agreed", "decline": "declined", "ask": "asked"}
MARK_WORDS = {"agreed": "agreed", "declined": "declined", "asked": "asks for a change"}


def said_words(word: Agreement) -> str:
    """ "agreed: Vera Vet": what was said first, so that a narrow column never cuts it off."""
    return f"{MARK_WORDS[MARK_OF[word.decision]]}: {word.person_name}"


def words_beside(role: str, words: Sequence[Agreement], mark: str) -> list[Agreement]:
    """The last words of a role's other people, beside the one who made its mark, where the role is
    not of one mind; nothing is said twice where it is."""
    of_role = [word for word in words if word.role == role]
    if len({word.decision for word in of_role}) < 2:
        return []
    maker = [word for word in of_role if MARK_OF[word.decision] == mark][-1]
    return [word for word in of_role if word is not maker]


def active_roles(case: Case) -> list[str]:
    """The agreeing roles that have someone on the team now."""
    held = set(
        Membership.objects.filter(case=case, left_at__isnull=True).values_list("role", flat=True)
    )
    return [role for role in AGREEING_ROLES if role in held]


def version_state(
    version: PlanItemVersion, roles_now: list[str], *, ever: Iterable[Membership] | None = None
) -> Agreed:
    """Where this exact version stands, from what was said about exactly this content. `ever`: all
    who are or were on its case, where the caller has read them."""
    members = version.item.case.memberships.all() if ever is None else ever
    since = [*roles_now, *_roles_since(version, members)]
    required = required_roles(version.required_roles, since, therapeutic=version.therapeutic)
    return agreement_state(required, _words(version))


def is_objected_to(version: PlanItemVersion) -> bool:
    """Whether somebody's last word on this version is a "no" or a wish for a change."""
    return any(decision != "agree" for decision in last_words(_words(version)).values())


def _words(version: PlanItemVersion) -> list[Word]:
    return [
        Word(a.person_id, a.role, a.decision)
        for a in version.agreements.all()  # by id: oldest first
        if a.content_hash == version.content_hash
    ]


def _roles_since(version: PlanItemVersion, members: Iterable[Membership]) -> list[str]:
    """The roles somebody held at any time since the version was proposed: who joined later and
    left again, perhaps after a "no", has not made the list shorter. Pages prefetch
    `case__memberships` with their items."""
    return [
        member.role
        for member in members
        if member.left_at is None or member.left_at >= version.proposed_at
    ]
