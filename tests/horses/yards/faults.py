"""Takes one check of the yards away at a time: each is a slip that somebody could make."""

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, replace
from typing import Any
from unittest.mock import patch

from horses.access import POLICY
from horses.access_yard import EVERYBODY, YARD_POLICY
from horses.domain.yard_roles import OnHorse, on_horse
from horses.models import Membership, YardMember

Make = Callable[[ExitStack], None]


@dataclass(frozen=True)
class Fault:
    name: str
    make: Make


def _patched(name: str, *targets: str, value: Any) -> Fault:
    def make(stack: ExitStack) -> None:
        for target in targets:
            stack.enter_context(patch(target, value))

    return Fault(name, make)


def _wider(action: str) -> Fault:
    """A right of the managers for everybody at the yard."""

    def make(stack: ExitStack) -> None:
        slipped = replace(YARD_POLICY[action], roles=EVERYBODY)
        stack.enter_context(patch.dict(YARD_POLICY, {action: slipped}))

    return Fault(f"{action} for everybody", make)


def _for_who_runs_the_yard(action: str) -> Fault:
    def make(stack: ExitStack) -> None:
        slipped = replace(POLICY[action], runs_yard=True)
        stack.enter_context(patch.dict(POLICY, {action: slipped}))

    return Fault(f"{action} also by a yard's manager", make)


def _owner_everywhere(stay: Any, member: YardMember) -> OnHorse | None:
    """A manager as owner of a livery owner's horse."""
    return on_horse(member.role, yards_own=True)


def _on_all_cases(stay: Any) -> Any:
    """The newest case of the horse, whatever it is."""
    return stay.horse.cases.order_by("-pk").select_related("horse").first()


def _goes_nowhere(member: YardMember, **more: Any) -> None:
    """A place that ends and leaves its memberships."""


def _everywhere(person: Any) -> Any:
    return YardMember.objects.filter(person=person).select_related("yard")


def _no_one_left_out(row: Membership, **more: Any) -> None:
    """An owner's removal that is forgotten."""


FAULTS = (
    _wider("yard.invite"),
    _wider("yard.confirm"),
    _wider("yard.add_horses"),
    _wider("yard.remove"),
    _wider("yard.edit"),
    *(
        _for_who_runs_the_yard(action)
        for action in (
            "plan.agree",
            "team.remove",
            "team.invite",
            "team.yard",
            "horse.sell",
            "horse.move",
            "horse.edit",
            "horse.pause",
            "case.close",
            "work.record",
        )
    ),
    _patched(
        "a manager owns every horse of the yard",
        "horses.services.yard_people.place_on",
        value=_owner_everywhere,
    ),
    _patched(
        "a yard's people on a concern",
        "horses.services.yard_people.standing_case",
        value=_on_all_cases,
    ),
    _patched(
        "a place that ends leaves its memberships",
        "horses.services.yard_members.goes_everywhere",
        value=_goes_nowhere,
    ),
    _patched(
        "places that wait or have ended open the yard",
        "horses.access_yard.yard_places",
        value=_everywhere,
    ),
    _patched(
        "who is left out comes back",
        "horses.services.team.left_out",
        value=_no_one_left_out,
    ),
    _patched(
        "the owner's own farrier is doubled",
        "horses.services.yard_people.has_own",
        "horses.queries.reopened.has_own",
        "horses.queries.move.has_own",
        value=lambda team, place: False,
    ),
    _patched(
        "a link of one who left",
        "horses.services.yard_links._inviter_manages",
        value=lambda link: True,
    ),
    _patched(
        "a link for one used by several",
        "horses.models.YardInvitation.is_used_once",
        value=False,
    ),
    _patched(
        "what is opened again is not read before",
        "horses.services.yard_members.reopened_mark",
        value=lambda rows: "",
    ),
)
assert len({fault.name for fault in FAULTS}) == len(FAULTS)
