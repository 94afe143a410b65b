"""When a plan item's version counts as agreed. Pure: the same rule for page, print and test.

Decided 2026-11:
- "agreed" is computed, never stored: a stored flag drifts from the words it is about. Roles are
  frozen with the version, and whoever held a role at any time since counts too, so that neither
  leaving nor being removed turns a "no" into a "yes".
- what the vet sets alone is in force and not agreed. It is computed beside "agreed", never instead
  of it; one declining role ends it. A target needs no agreement: a band counts from its day.
- a "no" is not outvoted inside a role. With two farriers, one agreeing does not undo the other's
  declining; only a new version does.
"""

from collections.abc import Iterable
from dataclasses import dataclass

ROLES = ("owner", "farrier", "vet")


@dataclass(frozen=True)
class Word:
    """One person's decision: "agree", "decline" or "ask" (for a change), in the order given."""

    person_id: int
    role: str
    decision: str


@dataclass(frozen=True)
class Agreed:
    """Where a version stands: per role "agreed", "declined", "asked" or "waiting"."""

    marks: dict[str, str]  # only the roles that are required
    missing: tuple[str, ...]

    @property
    def is_agreed(self) -> bool:
        return bool(self.marks) and not self.missing


def in_force(state: Agreed, *, emergency: bool) -> bool:
    """Whether it holds now: agreed by everyone, or set by the vet alone because it could not wait.

    The second never counts as agreed, and ends with the first "no": nobody may carry on against
    the word of a role by having called it urgent.
    """
    return state.is_agreed or (emergency and "declined" not in state.marks.values())


def side_of(role: str) -> str:
    """The role that a person speaks for: a carer counts with the owner."""
    return "owner" if role == "carer" else role


def required_roles(
    frozen: Iterable[str], active: Iterable[str], *, therapeutic: bool
) -> tuple[str, ...]:
    """The roles whose agreement is needed.

    Those frozen when the version was proposed, plus any that joined since; somebody leaving never
    makes the list shorter. A therapeutic item needs the vet even when there is none, and every item
    the owner: of a horse that is held for one without an account, nothing is agreed by the farrier
    or the vet alone.
    """
    wanted = {"owner"} | set(frozen) | set(active) | ({"vet"} if therapeutic else set())
    return tuple(role for role in ROLES if role in wanted)


def last_words(words: Iterable[Word]) -> dict[tuple[int, str], str]:
    """What each person said last, by person and role; the words come oldest first."""
    return {(word.person_id, word.role): word.decision for word in words}


def agreement_state(required: Iterable[str], words: Iterable[Word]) -> Agreed:
    """The state of one version from everything that was said about it, oldest first.

    A person's last word counts. A role has agreed when someone of it agrees and nobody of it
    declines or asks for a change: a "no" is not outvoted within a role, only a new version clears
    it.
    """
    last = last_words(words)
    marks = {role: _mark([d for (_, r), d in last.items() if r == role]) for role in required}
    return Agreed(marks, tuple(role for role, mark in marks.items() if mark != "agreed"))


def _mark(decisions: list[str]) -> str:
    if "decline" in decisions:
        return "declined"
    if "ask" in decisions:
        return "asked"
    return "agreed" if "agree" in decisions else "waiting"
