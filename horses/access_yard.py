"""Who may do what at a yard, beside what horses/access.py says of its horses.

A place at a yard opens the yard's own page; it opens no horse. Whoever has no place gets "not
found". What the yard's people may do on a horse is their membership's, as for everybody else.
"""

from dataclasses import dataclass

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404

from horses.access import NotFresh
from horses.models import Person, Yard, YardMember, YardRole

MANAGER, OWNER = YardRole.MANAGER, YardRole.OWNER
EVERYBODY = frozenset(YardRole)


@dataclass(frozen=True)
class YardRule:
    action: str
    words: str
    roles: frozenset[YardRole]
    asks_again: bool = False


YARD_POLICY: dict[str, YardRule] = {
    rule.action: rule
    for rule in (
        YardRule("yard.see", "See the yard's page, and of its horses one's own", EVERYBODY),
        YardRule("yard.edit", "Change what is written about the yard", frozenset({MANAGER})),
        YardRule("yard.add_horses", "Add horses of the yard", frozenset({MANAGER})),
        YardRule("yard.bring", "Bring a horse of one's own", frozenset({MANAGER, OWNER})),
        YardRule("yard.invite", "Make a link for somebody", frozenset({MANAGER}), asks_again=True),
        YardRule("yard.end_link", "End a link", frozenset({MANAGER})),
        YardRule(
            "yard.confirm",
            "Say yes or no to somebody who followed a link",
            frozenset({MANAGER}),
            asks_again=True,
        ),
        YardRule(
            "yard.remove", "End somebody's place at the yard", frozenset({MANAGER}), asks_again=True
        ),
        YardRule("yard.leave", "Leave the yard", EVERYBODY),
    )
}


@dataclass(frozen=True)
class YardAccess:
    """Where one person stands at one yard."""

    person: Person
    yard: Yard
    member: YardMember
    fresh: bool = False

    @property
    def role(self) -> YardRole:
        return YardRole(self.member.role)


def yard_places(person: Person) -> QuerySet[YardMember]:
    """The places that a person has now; every read of a yard starts here."""
    if not person.is_authenticated or not person.is_active:
        return YardMember.objects.none()
    return YardMember.objects.in_force().filter(person=person).select_related("yard")


def yard_access_get(person: Person, yard_public_id: str, *, fresh: bool = False) -> YardAccess:
    """Http404 for a stranger and for an unknown id alike."""
    member = yard_places(person).filter(yard__public_id=yard_public_id).first()
    if member is None:
        raise Http404("no such yard")
    return YardAccess(person, member.yard, member, fresh)


def yard_may(access: YardAccess, action: str) -> bool:
    return access.role in YARD_POLICY[action].roles


def yard_require(access: YardAccess, action: str, *, only_look: bool = False) -> None:
    """Raises PermissionDenied with the reason. The place is read again, and inside a transaction it
    stays locked: a removal waits for a deed under way, or the deed for it."""
    rule = YARD_POLICY[action]
    current = yard_places(access.person).filter(yard=access.yard).first()
    if current is None or current.role != access.role:
        raise PermissionDenied("You have no place at this yard any more.")
    if access.role not in rule.roles:
        raise PermissionDenied(f"“{rule.words}” is for the yard's managers.")
    if rule.asks_again and not (access.fresh or only_look):
        raise NotFresh("It is a while since you showed that it is you. Go back and send it again.")
