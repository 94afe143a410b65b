"""Takes one check away at a time, and asks whether the access tests notice.

Each fault is a slip somebody could make: a right widened, a filter dropped, a check forgotten.
In the suite `test_faults.py` runs the quick checks of this file against each of them. The long
form runs the real access tests once a fault, each in a process of its own:

    uv run python -m tests.access.faults            # all of them, about a minute each
    uv run python -m tests.access.faults "no audience on notes"
"""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Any
from unittest.mock import patch

ENVIRONMENT = "CASEBOARD_ACCESS_FAULT"
# The whole of what stands guard over access; the long form runs these.
GUARDS = (
    "tests/horses/test_access.py",
    "tests/horses/services/test_notes.py",
    "tests/horses/services/test_pictures.py",
    "tests/horses/services/test_every_service.py",
    "tests/horses/notices/test_notices.py",
    "tests/horses/views/test_notices_pages.py",
    "tests/access/test_matrix.py",
    "tests/access/test_strangers.py",
    "tests/access/test_canaries.py",
)


@dataclass(frozen=True)
class Fault:
    name: str
    make: Callable[[ExitStack], None]


def _policy(action: str, *, add: str = "", drop: str = "", closed: bool = False) -> Fault:
    """One row of the policy widened by a role, narrowed by one, or left open on closed cases."""

    def make(stack: ExitStack) -> None:
        from horses.access import POLICY
        from horses.models import Role

        rule = POLICY[action]
        roles = (rule.roles | ({Role(add)} if add else set())) - ({Role(drop)} if drop else set())
        slipped = replace(rule, roles=roles, open_case_only=rule.open_case_only and not closed)
        stack.enter_context(patch.dict(POLICY, {action: slipped}))

    what = f"also for the {add}" if add else f"not for the {drop}" if drop else "on closed cases"
    return Fault(f"{action} {what}", make)


def _held_too(action: str) -> Fault:
    """A right of the owner's that whoever holds a horse was given as well."""

    def make(stack: ExitStack) -> None:
        from horses.access import POLICY

        slipped = replace(POLICY[action], holder=True)
        stack.enter_context(patch.dict(POLICY, {action: slipped}))

    return Fault(f"{action} also for whoever holds the horse", make)


def _not_asked_again(action: str) -> Fault:
    """A careful deed that an aged sign-in may do."""

    def make(stack: ExitStack) -> None:
        from horses.access import POLICY

        slipped = replace(POLICY[action], asks_again=False)
        stack.enter_context(patch.dict(POLICY, {action: slipped}))

    return Fault(f"{action} asks for no fresh code", make)


def _patched(name: str, *targets: str, value: Callable[..., Any]) -> Fault:
    def make(stack: ExitStack) -> None:
        for target in targets:
            stack.enter_context(patch(target, value))

    return Fault(name, make)


def _nothing(*args: Any, **more: Any) -> None:
    """A check that was forgotten."""


def _asks(module: str, name: str, value: Callable[..., None]) -> Fault:
    """What a service asks before a deed replaced, in the frame of the deed and beside it."""

    def make(stack: ExitStack) -> None:
        there = import_module(module)
        asked = [("deed", _frame_that_asks(value)), ("require", value)]
        found = [(word, new) for word, new in asked if hasattr(there, word)]
        assert found, f"{module} asks nothing"
        for word, new in found:
            stack.enter_context(patch(f"{module}.{word}", new))

    return Fault(f"{module} {name}", make)


def _frame_that_asks(value: Callable[..., None]) -> Callable[..., Any]:
    @contextmanager
    def frame(access: Any, action: str, **more: Any) -> Iterator[Any]:
        from horses.services.deed import deed

        with ExitStack() as stack:
            with patch("horses.services.deed.require", value):  # its own alone, no inner deed's
                act = stack.enter_context(deed(access, action, **more))
            yield act

    return frame


def _every_membership(person: Any) -> Any:
    """As if leaving a team changed nothing."""
    from horses.models import Membership

    if not person.is_authenticated:
        return Membership.objects.none()
    return Membership.objects.filter(person=person)


def _anybody(person: Any, case_public_id: str) -> Any:
    """A case found by its id alone."""
    from django.http import Http404

    from horses.access import CaseAccess
    from horses.models import Case, Role

    case = Case.objects.filter(public_id=case_public_id).select_related("horse").first()
    if case is None:
        raise Http404
    return CaseAccess(person, case, Role.OWNER)


def _no_audience(access: Any, field: str = "audience") -> Any:
    from django.db.models import Q

    return Q()


def _always(*args: Any, **more: Any) -> bool:
    return True


def _whole_team(case: Any, *, audience: str, actor: Any, **_: Any) -> list[Any]:
    from horses.models import Membership

    members = Membership.objects.filter(case=case, left_at=None).select_related("person")
    return [m.person for m in members if m.person != actor]


def _actor_too(case: Any, *, audience: str, actor: Any, **_: Any) -> list[Any]:
    from horses.models import Membership

    members = Membership.objects.filter(case=case, left_at=None).select_related("person")
    return [m.person for m in members if f",{m.role}," in audience]


def _all_notices(person: Any) -> Any:
    from horses.models import Notice

    return Notice.objects.filter(person=person, channel="app").select_related("case__horse")


def _any_audience(access: Any, roles: frozenset[str]) -> str:
    from horses.access import audience_of

    return audience_of(roles)


def _require_of_the_ticket(access: Any, action: str, **_: Any) -> None:
    """Believes the access it is handed, however old."""
    from django.core.exceptions import PermissionDenied

    from horses.access import may

    if not may(access, action):
        raise PermissionDenied


def _sign_in_nobody(self: Any, request: Any, view: Any) -> None:
    """Lets the view go on. (The hook itself is bound when the handler is built: patching it
    later would change nothing, and the fault would never be made.)"""


SERVICES = (
    "horses.services.alerts",
    "horses.services.cases",
    "horses.services.exams",
    "horses.services.flags",
    "horses.services.horses",
    "horses.services.invitations",
    "horses.services.notes",
    "horses.services.photos",
    "horses.services.pictures",
    "horses.services.plan",
    "horses.services.plan_end",
    "horses.services.team",
    "horses.services.visit_planning",
    "horses.services.visits",
    "horses.services.interval",
    "horses.services.toe_direction",
    "measurements.services.picture_points",
    "measurements.services.points_readings",
    "measurements.services.readings",
    "measurements.services.targets",
    "measurements.services.visit_record",
)
# They ask once themselves and once through the visit or the readings: one of the two is enough.
TWICE_GUARDED = {"measurements.services.visit_record", "measurements.services.points_readings"}

FAULTS: tuple[Fault, ...] = (
    # -- a right widened
    _policy("case.close", add="farrier"),
    _not_asked_again("team.hand_over"),
    _not_asked_again("plan.agree_therapeutic"),
    _policy("horse.edit", add="vet"),
    _policy("horse.pause", add="farrier"),
    _policy("team.invite", add="vet"),
    _policy("team.remove", add="farrier"),
    _policy("flag.answer", add="carer"),
    _policy("flag.vet_phoned", add="farrier"),
    _policy("exam.record", add="carer"),
    _policy("exam.record", add="farrier"),
    _policy("reading.record", add="carer"),
    _policy("points.place_on_film", add="farrier"),
    _policy("work.record", add="vet"),
    _policy("target.routine", add="owner"),
    _policy("target.therapeutic", add="farrier"),
    _policy("plan.propose", add="carer"),
    _policy("plan.therapeutic", add="owner"),
    _policy("plan.agree", add="carer"),
    _policy("alert.answer", add="carer"),
    _policy("visit.vouch", add="owner"),
    _policy("owner.contact", add="carer"),
    _held_too("team.remove"),
    _policy("sheet.issue", add="carer"),
    # -- a right taken away
    _policy("case.see", drop="carer"),
    _policy("flag.raise", drop="carer"),
    _policy("plan.agree", drop="vet"),
    _policy("team.leave", drop="vet"),
    # -- a closed case left open
    _policy("plan.agree", closed=True),
    _policy("reading.record", closed=True),
    _policy("note.write", closed=True),
    # -- who is on the case
    _patched(
        "leaving a team changes nothing",
        "horses.access.active_memberships",
        value=_every_membership,
    ),
    *(
        _patched(f"{module} finds a case by its id alone", f"{module}.access_get", value=_anybody)
        for module in (
            "caseboard.views.board",
            "caseboard.views.sheet",
            "horses.views.flags",
            "horses.views.team",
            "horses.views.plan",
            "horses.views.notes",
            "horses.views.horses",
            "horses.views.pictures",
            "horses.views.picture_files",
            "measurements.views.exam",
            "measurements.views.picture_points",
            "measurements.views.series",
            "measurements.views.then_and_now",
        )
    ),
    _patched(
        "pages without sign-in",
        "caseboard.http.middleware.SignInRequiredMiddleware.handle_no_permission",
        value=_sign_in_nobody,
    ),
    # -- who reads it
    _patched(
        "no audience on notes and history", "horses.queries.board.readable_by", value=_no_audience
    ),
    _patched(
        "no audience on the pictures of notes",
        "horses.queries.pictures.readable_by",
        value=_no_audience,
    ),
    _patched(
        "anybody blanks out any picture",
        "horses.services.pictures.may_blank",
        "horses.views.pictures.may_blank",
        value=_always,
    ),
    _patched(
        "the service blanks out any picture for anybody",
        "horses.services.pictures.may_blank",
        value=_always,
    ),
    _patched(
        "a correction finds every note", "horses.services.notes.readable_by", value=_no_audience
    ),
    _patched(
        "any audience without the writer",
        "horses.services.notes.audience_checked",
        value=_any_audience,
    ),
    _patched(
        "everybody hears of everything", "horses.notices.create.recipients", value=_whole_team
    ),
    _patched(
        "the actor hears of their own act", "horses.notices.create.recipients", value=_actor_too
    ),
    _patched(
        "waiting mail is sent to who left", "horses.notices.send.may_still_see", value=_always
    ),
    _patched(
        "old notices stay readable",
        "horses.notices.create.notices_for",
        "horses.views.notices.notices_for",
        value=_all_notices,
    ),
    # -- a service that asks for no right, or believes an old answer
    *(
        _asks(module, "asks for no right", _nothing)
        for module in SERVICES
        if module not in TWICE_GUARDED
    ),
    *(
        _asks(module, "believes an old access", _require_of_the_ticket)
        for module in ("horses.services.flags", "horses.services.plan", "horses.services.notes")
    ),
)
BY_NAME = {fault.name: fault for fault in FAULTS}


@contextmanager
def made(fault: Fault) -> Iterator[None]:
    with ExitStack() as stack:
        fault.make(stack)
        yield


@contextmanager
def asked_for() -> Iterator[None]:
    """The fault that the long form asks this process to live with, if it does."""
    name = os.environ.get(ENVIRONMENT, "")
    with made(BY_NAME[name]) if name else nullcontext():
        yield


def _run(fault: Fault) -> bool:
    """Whether the guards notice; a process of its own, so that nothing is left of the fault."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *GUARDS]
    answer = subprocess.run(
        command, env={**os.environ, ENVIRONMENT: fault.name}, capture_output=True, check=False
    )
    return answer.returncode == 1  # 1: tests failed; anything else is trouble of another kind


def main(names: list[str]) -> int:
    chosen = [BY_NAME[name] for name in names] or list(FAULTS)
    missed = []
    for fault in chosen:
        caught = _run(fault)
        print(f"{'caught' if caught else 'MISSED'}  {fault.name}", flush=True)
        if not caught:
            missed.append(fault.name)
    print(f"{len(chosen) - len(missed)} of {len(chosen)} caught")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
