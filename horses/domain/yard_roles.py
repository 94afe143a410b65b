"""What a place at a yard is on one of its horses. Pure."""

from dataclasses import dataclass

from horses.models import Role, YardRole


@dataclass(frozen=True)
class OnHorse:
    """A membership as the yard gives it."""

    role: Role
    stand_in: bool = False
    runs_yard: bool = False


PLACES: dict[str, OnHorse] = {
    YardRole.FARRIER: OnHorse(Role.FARRIER),
    YardRole.STAND_IN: OnHorse(Role.FARRIER, stand_in=True),
    YardRole.VET: OnHorse(Role.VET),
    YardRole.CARER: OnHorse(Role.CARER),
}


def on_horse(yard_role: str, *, yards_own: bool) -> OnHorse | None:
    """None for a livery owner, whom their place brings on no horse by itself. A manager stands as
    the owner of the yard's own horses only; on all others as a carer who runs the yard."""
    if yard_role == YardRole.MANAGER:
        return OnHorse(Role.OWNER) if yards_own else OnHorse(Role.CARER, runs_yard=True)
    return PLACES.get(yard_role)


def is_brought_along(role: Role, *, stand_in: bool) -> bool:
    """Whether an owner's own person in this role stands in the yard's one's place: two usual
    farriers, or two vets, are not on a horse unless its owner says so."""
    return role in (Role.FARRIER, Role.VET) and not stand_in
