"""Whom to ask where the vet speaks first, on a team with a vet and on one without."""

from collections.abc import Iterator
from dataclasses import dataclass

from horses.access import CaseAccess, may
from horses.domain.wording import listed
from horses.models import Person, Role
from horses.queries.board import team_for
from horses.queries.plan_lines import plan_for
from measurements.queries.numbers import Numbers


@dataclass(frozen=True)
class VetToAsk:
    """`names`: the vets on the team, or none; `may_invite`: there is none, and who looks may ask one
    to join."""

    names: tuple[str, ...]
    words: str
    may_invite: bool

    @property
    def is_missing(self) -> bool:
        return not self.names


def vet_to_ask(access: CaseAccess, numbers: Numbers) -> VetToAsk:
    team = team_for(access)
    vets = tuple(_named(m.person) for m in team if m.role == Role.VET)
    may_invite = not vets and may(access, "team.invite")
    if vets:
        return VetToAsk(vets, f"The vet decides on that first: {listed(vets)}.", False)
    words = ["No vet is on this team."]
    if setters := list(dict.fromkeys(_set_by(access, numbers))):
        words.append(f"{listed(setters)} set it: ask them first.")
    elif emergency := _emergency(access):
        words.append(f"A question for a vet goes to {emergency}.")
    owners = listed(_named(m.person) for m in team if m.role == Role.OWNER)
    words.append(
        "Invite a vet, so that one can answer here."
        if may_invite
        else f"{owners} can invite a vet, so that one can answer here."
    )
    return VetToAsk((), " ".join(words), may_invite)


def _named(person: Person) -> str:
    return f"{person} ({person.phone})" if person.phone else str(person)


def _emergency(access: CaseAccess) -> str:
    """The number of the horse itself, which stands there without a vet on the team."""
    horse = access.horse
    if not horse.emergency_vet_phone:
        return ""
    return f"{horse.emergency_vet_name or 'the emergency vet'} ({horse.emergency_vet_phone})"


def _set_by(access: CaseAccess, numbers: Numbers) -> Iterator[str]:
    """Who set what is open, by name only: whoever has left gave their number to the team of then."""
    for line in plan_for(access, open_only=True):
        if line.version.therapeutic:
            yield str(line.version.proposed_by)
    for targets in numbers.targets.values():
        for target in targets:
            if target.therapeutic:
                yield str(target.set_by)
