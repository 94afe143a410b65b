"""Who may confirm a new vet or farrier, and whose word is a newcomer's. Pure: rows read before.

One person with several addresses can fill a team with themself, and confirm one by another. So only
a word from outside counts: whoever confirms was brought neither by the newcomer, nor by anybody in
the line of people who brought the newcomer, nor brought them. The lines run over all cases of the
horse, so that opening another case cuts none. A person whom the installation answers for
(`known_at`) needs nobody: that is where trust begins on a team that one person has gathered.

Decided 2026-11: a new vet or farrier stays new until somebody from outside vouches. On a team that
one person gathered nobody is from outside: `manage.py people known ADDRESS` is where trust begins.
Memberships from before the column count as confirmed: their teams have worked with them, and a
board that calls everybody new at once teaches nobody to look.
"""

from collections.abc import Iterable

from horses.domain.wording import listed
from horses.models import Agreement, Membership, PlanItemVersion, Role


def line_above(person_id: int, members: Iterable[Membership]) -> frozenset[int]:
    """Who brought this person, who brought those, and so on."""
    inviters: dict[int, set[int]] = {}
    for member in members:
        if member.invited_by_id is not None:
            inviters.setdefault(member.person_id, set()).add(member.invited_by_id)
    found: set[int] = set()
    to_do = [person_id]
    while to_do:
        new = inviters.get(to_do.pop(), set()) - found
        found |= new
        to_do += new
    return frozenset(found)


def why_not_confirm(mine: Membership, newcomer: Membership, members: Iterable[Membership]) -> str:
    """Why this member's word would not count, or nothing. `members`: all of the horse, ever."""
    rows = list(members)
    above_newcomer = line_above(newcomer.person_id, rows)
    if mine.person_id == newcomer.person_id:
        return "Nobody confirms themself: it takes somebody else who knows you."
    if mine.person_id in above_newcomer:
        return "They are here through you. It takes somebody who did not bring them."
    if mine.person.known_at is not None:
        return ""
    if mine.invited_by_id is not None and mine.confirmed_at is None:
        return "It takes somebody who is here from the start, or who was confirmed."
    above_me = line_above(mine.person_id, rows)
    if newcomer.person_id in above_me or above_me & above_newcomer:
        return (
            "You are here through the same person. It takes somebody whom that one did not bring."
        )
    return ""


def new_people(members: Iterable[Membership]) -> frozenset[int]:
    """The people of one case whose last membership, still held or not, is a newcomer's."""
    last = {member.person_id: member for member in sorted(members, key=lambda m: m.pk)}
    return frozenset(person for person, member in last.items() if member.is_new_here)


def new_vet_words(version: PlanItemVersion, last_words: Iterable[Agreement]) -> str:
    """That the vet's word on something therapeutic comes from newcomers only; empty where a vet who
    is none has agreed as well. `last_words`: one of each person. Changes nothing about "agreed"."""
    agreed = [w for w in last_words if (w.role, w.decision) == (Role.VET, "agree")]
    if not (version.therapeutic and agreed):
        return ""
    new = new_people(version.item.case.memberships.all())
    if not all(word.person_id in new for word in agreed):
        return ""
    names, are = listed([word.person_name for word in agreed]), "are" if agreed[1:] else "is"
    return f"The vet's word here is from {names}, who {are} new here and not yet confirmed."
