"""Steps to a band on the plan, and the movement that they make a planned one."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from horses.models import PlanItem
from horses.services.deed import DeedRefused
from horses.services.idempotency import KeyReused
from horses.services.plan import latest_version, plan_item_decide
from horses.services.plan_end import plan_item_finish
from measurements.queries.numbers import _made_by, agreed_movements, numbers_of
from measurements.services.steps import Steps, steps_propose
from measurements.verdicts.judge import foot_judge
from tests import build
from tests.cast import Cast
from tests.horses.doors import told, verbs

INTERVAL_DAYS = 49
LEVEL = [50.0] * 6


def steps(**changes: Any) -> Steps:
    usual: dict[str, Any] = {
        "foot": "LF",
        "quantity": "toe_angle",
        "rate_per_visit": 2.0,
        "visits": 3,
        "from_on": date(2026, 5, 1),
        "therapeutic": True,
        "text": "Toe angle up in three visits.",
        "reason": "Straight axis on the films.",
        **changes,
    }
    return Steps(**usual)


def propose(cast: Cast, now: datetime, who: str = "vet", **changes: Any) -> PlanItem:
    return steps_propose(access=cast.access(getattr(cast, who)), steps=steps(**changes), now=now)


def agree(cast: Cast, item: PlanItem, now: datetime, *people: str) -> None:
    for who in people or ("owner", "farrier"):
        plan_item_decide(
            access=cast.access(getattr(cast, who)),
            item_id=item.public_id,
            seen_hash=latest_version(item).content_hash,
            decision="agree",
            now=now,
        )


def measured(
    cast: Cast, now: datetime, levels: Sequence[float], quantity: str = "toe_angle"
) -> date:
    """A series with the given levels; the day after the sixth trim, from when steps are planned."""
    build.series(
        cast.access(cast.farrier), now, levels, quantity=quantity, interval_days=INTERVAL_DAYS
    )
    last = now.date() - timedelta(days=10)
    return last - timedelta(days=INTERVAL_DAYS * (len(levels) - len(LEVEL)) - 1)


def state(cast: Cast, now: datetime) -> str:
    verdict = foot_judge(numbers_of(cast.horse, today=now.date()), "LF", now=now)
    assert verdict is not None
    return verdict.state


def moves(cast: Cast, now: datetime) -> dict[str, list[dict[str, Any]]]:
    return numbers_of(cast.horse, today=now.date()).planned


def test_the_vets_steps_stand_on_the_plan_as_a_treatment(cast: Cast, now: datetime) -> None:
    version = latest_version(propose(cast, now))
    assert (version.item.kind, version.therapeutic, version.who_does) == ("trim", True, "farrier")
    assert version.target == {
        "foot": "LF",
        "quantity": "toe_angle",
        "rate_per_visit": 2.0,
        "visits": 3,
        "from_on": "2026-05-01",
    }
    assert "plan.item.proposed" in verbs(cast.case)
    assert "Finn Farrier" in told(cast.case, "plan.item.proposed")


def test_a_farrier_proposes_steps_as_a_routine_aim(cast: Cast, now: datetime) -> None:
    assert not latest_version(propose(cast, now, "farrier", therapeutic=False)).therapeutic


def test_a_farrier_proposes_no_treatment(cast: Cast, now: datetime) -> None:
    with pytest.raises(PermissionDenied):
        propose(cast, now, "farrier")


def test_to_the_vets_band_only_the_vet_proposes_steps(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now)
    with pytest.raises(PermissionDenied):
        propose(cast, now, "farrier", therapeutic=False)
    assert propose(cast, now).number


@pytest.mark.parametrize("who", ["owner", "carer"])
@pytest.mark.parametrize("therapeutic", [True, False])
def test_owners_and_carers_propose_no_steps(
    cast: Cast, now: datetime, who: str, therapeutic: bool
) -> None:
    with pytest.raises(PermissionDenied):
        propose(cast, now, who, therapeutic=therapeutic)


@pytest.mark.parametrize(
    "changes",
    [
        {"rate_per_visit": 0.0},
        {"rate_per_visit": 6.1},
        {"rate_per_visit": float("nan")},
        {"rate_per_visit": float("-inf")},
        {"visits": 0},
        {"visits": 41},
        {"reason": " "},
        {"foot": "XX"},
        {"quantity": "toe_length"},
    ],
)
def test_steps_that_nobody_can_carry_out_are_refused(
    cast: Cast, now: datetime, changes: dict[str, Any]
) -> None:
    with pytest.raises(DeedRefused):
        propose(cast, now, **changes)
    assert not PlanItem.objects.exists()


def test_the_same_form_twice_is_one_item(cast: Cast, now: datetime) -> None:
    fields: dict[str, Any] = {
        "access": cast.access(cast.vet),
        "steps": steps(),
        "client_key": "k",
        "now": now,
    }
    assert steps_propose(**fields) == steps_propose(**fields)
    with pytest.raises(KeyReused):
        steps_propose(**{**fields, "steps": replace(steps(), visits=2)})
    assert PlanItem.objects.count() == 1


def test_other_steps_for_the_same_foot_are_a_new_version(cast: Cast, now: datetime) -> None:
    first = propose(cast, now)
    assert propose(cast, now, visits=2) == first
    assert latest_version(first).number == 2


def test_steps_for_another_foot_are_another_item(cast: Cast, now: datetime) -> None:
    assert propose(cast, now) != propose(cast, now, foot="RF")


def test_steps_are_planned_movement_only_once_all_have_agreed(cast: Cast, now: datetime) -> None:
    item = propose(cast, now)
    agree(cast, item, now, "owner")
    assert moves(cast, now) == {}
    agree(cast, item, now, "farrier")
    assert moves(cast, now) == {"LF": [steps().movement]}


def test_a_rising_series_is_spoken_of_without_a_plan(cast: Cast, now: datetime) -> None:
    measured(cast, now, [*LEVEL, 52, 54, 56])
    assert state(cast, now) in ("drift", "step")


def test_agreed_steps_make_a_rising_series_quiet(cast: Cast, now: datetime) -> None:
    from_on = measured(cast, now, [*LEVEL, 52, 54, 56])
    agree(cast, propose(cast, now, from_on=from_on), now)
    assert state(cast, now) == "quiet"


def test_steps_that_are_not_agreed_quieten_nothing(cast: Cast, now: datetime) -> None:
    from_on = measured(cast, now, [*LEVEL, 52, 54, 56])
    propose(cast, now, from_on=from_on)
    assert state(cast, now) in ("drift", "step")


def test_the_heel_of_a_foot_that_is_turned_moves_as_planned_too(cast: Cast, now: datetime) -> None:
    levels = [*LEVEL, 52, 54, 56]
    from_on = measured(cast, now, levels)
    measured(cast, now, [level - 4 for level in levels], "heel_angle")
    agree(cast, propose(cast, now, from_on=from_on), now)
    assert state(cast, now) == "quiet"


def test_a_foot_that_goes_the_other_way_is_spoken_of(cast: Cast, now: datetime) -> None:
    from_on = measured(cast, now, [*LEVEL, 48.5, 47, 45.5])
    agree(cast, propose(cast, now, from_on=from_on), now)
    assert state(cast, now) in ("drift", "step")


def test_a_foot_that_stays_behind_its_steps_is_spoken_of(cast: Cast, now: datetime) -> None:
    from_on = measured(cast, now, [*LEVEL, 50, 50, 50])
    agree(cast, propose(cast, now, from_on=from_on), now)
    assert state(cast, now) in ("drift", "step")


def test_what_was_done_as_agreed_is_no_news_afterwards(cast: Cast, now: datetime) -> None:
    from_on = measured(cast, now, [*LEVEL, 52, 54, 56])
    item = propose(cast, now, from_on=from_on)
    agree(cast, item, now)
    plan_item_finish(
        access=cast.access(cast.vet), item_id=item.public_id, status="done", reason="", now=now
    )
    assert state(cast, now) == "quiet"


def test_withdrawn_steps_stay_planned_for_the_trims_made_by_then(cast: Cast, now: datetime) -> None:
    from_on = measured(cast, now, [*LEVEL, 52])
    item = propose(cast, now, from_on=from_on)
    agree(cast, item, now)
    plan_item_finish(
        access=cast.access(cast.vet),
        item_id=item.public_id,
        status="withdrawn",
        reason="Sore after the first.",
        now=now,
    )
    assert moves(cast, now) == {"LF": [{**steps(from_on=from_on).movement, "visits": 1}]}


def test_steps_withdrawn_before_any_trim_never_were(cast: Cast, now: datetime) -> None:
    item = propose(cast, now, from_on=now.date())
    agree(cast, item, now)
    plan_item_finish(
        access=cast.access(cast.vet),
        item_id=item.public_id,
        status="withdrawn",
        reason="Second thoughts.",
        now=now,
    )
    assert agreed_movements(cast.horse, {}) == {}


def test_a_new_version_leaves_the_steps_made_under_the_old_one_planned(
    cast: Cast, now: datetime
) -> None:
    from_on = measured(cast, now, [*LEVEL, 52])
    agree(cast, propose(cast, now, from_on=from_on), now)
    agree(cast, propose(cast, now, from_on=now.date(), rate_per_visit=1.0), now)
    assert [(m["rate_per_visit"], m["visits"]) for m in moves(cast, now)["LF"]] == [
        (2.0, 1),
        (1.0, 3),
    ]


def test_of_steps_that_ended_those_made_by_then_were_planned() -> None:
    movement = {"from_on": "2026-03-01", "visits": 4, "rate_per_visit": 1.0}
    trims = [date(2026, 2, 1), date(2026, 3, 1), date(2026, 4, 1), date(2026, 5, 1)]
    assert _made_by(movement, date(2026, 4, 1), trims)["visits"] == 2
    assert _made_by(movement, None, trims) == movement
