"""The herd page counts the plan items that wait for a person just as each board does."""

from datetime import datetime, timedelta
from random import Random

import pytest

from horses.models import Agreement, Case, Person, PlanItem, PlanItemVersion, PlanReply, Role
from horses.queries.herd import herd_for
from horses.queries.plan_lines import plan_for
from horses.services.cases import case_close
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.usefixtures("clock_stands")
HOUR = timedelta(hours=1)
SAME = (
    "therapeutic",
    "text",
    "who_does",
    "proposed_by",
    "proposed_role",
    "proposed_at",
    "required_roles",
)


def herd_waiting(person: Person, now: datetime) -> dict[int, int]:
    herd = herd_for(person, today=now.date())
    return {board.case.pk: board.waiting for line in herd for board in line.open_boards}


def boards_waiting(cast: Cast, person: Person, cases: list[Case]) -> dict[int, int]:
    return {
        case.pk: sum(line.my_word_missing for line in plan_for(cast.access(person, case)))
        for case in cases
    }


def talked_over(
    rng: Random, item: PlanItem, people: list[tuple[Person, str]], at: datetime
) -> None:
    """Some words and replies on each version, by anybody, in any order; now and then done with."""
    for version in item.versions.all():
        for number in range(rng.randrange(5)):
            person, role = rng.choice(people)
            said_at = at + number * HOUR
            if rng.random() < 0.3:
                PlanReply.objects.create(
                    version=version,
                    person=person,
                    person_name="x",
                    role=role,
                    words="Why not?",
                    said_at=said_at,
                )
            else:
                decision = rng.choice(Agreement.Decision.values)
                content = version.content_hash if rng.random() < 0.9 else "of other words"
                Agreement.objects.create(
                    version=version,
                    content_hash=content,
                    person=person,
                    person_name="x",
                    role=role,
                    decision=decision,
                    reason="",
                    decided_at=said_at,
                )
    if rng.random() < 0.2:
        PlanItem.objects.filter(pk=item.pk).update(status=PlanItem.Status.DONE)


@pytest.mark.parametrize("seed", range(4))
def test_every_person_is_counted_the_items_that_their_boards_say_wait(
    cast: Cast, now: datetime, seed: int
) -> None:
    rng = Random(seed)
    people = [
        (cast.owner, "owner"),
        (cast.vet, "vet"),
        (cast.farrier, "farrier"),
        (cast.stand_in, "farrier"),
        (cast.removed, "vet"),
        (cast.carer, "carer"),
        (cast.vet, "owner"),
    ]
    for case in (cast.case, cast.concern):
        for number in range(30):
            item = build.plan_item(cast.access(cast.farrier, case), now)
            version = item.versions.get()
            if number % 3 == 0:
                more = {"item": item, "number": 2, "content_hash": f"second {case.pk} {number}"}
                kept = {f: getattr(version, f) for f in SAME}
                PlanItemVersion.objects.create(**kept, **more)
            talked_over(rng, item, people, now)
    for person in (cast.owner, cast.vet, cast.farrier, cast.stand_in, cast.carer):
        found = herd_waiting(person, now)
        cases = [case for case in (cast.case, cast.concern) if case.pk in found]
        assert found == boards_waiting(cast, person, cases)
    assert set(herd_waiting(cast.vet, now)) >= {cast.case.pk}
    assert 0 < sum(herd_waiting(cast.vet, now).values()) < 60


def test_nothing_waits_on_a_closed_case(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.farrier, cast.concern), now)
    assert herd_waiting(cast.owner, now)[cast.concern.pk] == 1
    owner = cast.access(cast.owner, cast.concern)
    case_close(access=owner, outcome="met", words="Sound.", now=now)
    assert cast.concern.pk not in herd_waiting(cast.owner, now)


def test_a_reply_to_my_no_asks_me_again_and_my_own_does_not(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.farrier), now)
    version = PlanItemVersion.objects.get(item=item)
    Agreement.objects.create(
        version=version,
        content_hash=version.content_hash,
        person=cast.vet,
        person_name="x",
        role=Role.VET,
        decision="ask",
        reason="Less.",
        decided_at=now,
    )
    assert herd_waiting(cast.vet, now)[cast.case.pk] == 0
    for person, waits in ((cast.vet, 0), (cast.farrier, 1)):
        PlanReply.objects.create(
            version=version,
            person=person,
            person_name="x",
            role=Role.VET,
            words="Why?",
            said_at=now + HOUR,
        )
        assert herd_waiting(cast.vet, now)[cast.case.pk] == waits
