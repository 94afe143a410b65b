"""The work of a visit: how each foot is left, and what became of the plan items."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from horses.models import FootWork, PlanItemOutcome, Visit
from horses.queries.plan_lines import plan_for
from horses.services.plan_end import plan_item_finish
from measurements.models import Reading
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of
from tests.measurements.visit_form import send

pytestmark = pytest.mark.usefixtures("clock_stands")


def test_a_first_visit_asks_how_the_foot_is_left(cast: Cast) -> None:
    answer = send(cast, "LF", **{"LF-left": ""})
    assert answer.status_code == 422
    assert "Is this foot barefoot or shod?" in text_of(answer)


@pytest.mark.parametrize(
    ("fields", "left"),
    [
        ({"LF-shoe": "new"}, "shod"),
        ({"LF-shoe": "pulled"}, "barefoot"),
        ({"LF-shoe": "reset", "LF-wedge": "3"}, "shod_wedge"),
        ({"LF-shoe": "none", "LF-left": "barefoot"}, "barefoot"),
    ],
)
def test_how_a_foot_is_left_follows_from_the_work(
    cast: Cast, fields: dict[str, str], left: str
) -> None:
    send(cast, "LF", **{"LF-left": "", **fields})
    assert FootWork.objects.get().shoeing_left == left


def test_a_foot_stays_as_it_was_when_nothing_is_said(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    send(cast, "LF", words="As before.", **{"LF-left": "", "sure-shoe-on": "on"})
    assert FootWork.objects.filter(visit__kept_on="2026-11-01").get().shoeing_left == "shod"


def test_readings_carry_how_the_foot_came_and_how_it_was_left(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    fields = {"LF-toe_angle-before": "49", "LF-toe_angle-after": "52"}
    send(cast, "LF", **fields, **{"LF-shoe": "pulled", "LF-left": ""})
    shoeing = {r.trim_state: r.shoeing for r in Reading.objects.all()}
    assert shoeing == {"before": "shod", "after": "barefoot"}


@pytest.mark.parametrize(
    "fields",
    [
        {"LF-shoe": "new", "LF-left": "barefoot"},
        {"LF-shoe": "pulled", "LF-left": "shod"},
        {"LF-wedge": "3", "LF-left": "barefoot"},
        {"LF-wedge": "45"},
        {"LF-wedge": "2.55"},
        {"LF-wedge": "-3"},
    ],
)
def test_work_that_contradicts_itself_is_refused(cast: Cast, fields: dict[str, str]) -> None:
    assert send(cast, "LF", **fields).status_code == 422
    assert not Visit.objects.filter(status="kept").exists()


def test_the_shoe_and_the_wedge_are_kept_in_words_and_degrees(cast: Cast) -> None:
    send(cast, "LF", **{"LF-shoe": "new", "LF-shoe_words": "wide web", "LF-wedge": "2,5"})
    work = FootWork.objects.get()
    assert (work.shoe, work.shoe_words, work.wedge_deg) == ("new", "wide web", Decimal("2.5"))


def plan_target(cast: Cast, now: datetime) -> Any:
    build.target(cast.access(cast.vet), now)
    return plan_for(cast.access(cast.farrier))[0]


def test_a_plan_item_is_carried_out_at_the_visit(cast: Cast, now: datetime) -> None:
    line = plan_target(cast, now)
    item = line.item.public_id
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "Left fore toe angle" in page
    assert "Not agreed yet" in page
    fields = {f"item-{item}-result": "partly", f"item-{item}-words": "1° more next time"}
    send(cast, "LF", **fields, **{f"item-{item}-version": line.version.public_id})
    outcome = PlanItemOutcome.objects.get()
    assert (outcome.result, outcome.words) == ("partly", "1° more next time")
    assert outcome.version == line.version


def test_what_was_not_done_needs_a_reason(cast: Cast, now: datetime) -> None:
    line = plan_target(cast, now)
    item = line.item.public_id
    fields = {f"item-{item}-result": "not_done", f"item-{item}-version": line.version.public_id}
    answer = send(cast, "LF", **fields)
    assert answer.status_code == 422
    assert "Say why" in text_of(answer)


def test_an_item_changed_meanwhile_is_shown_again_with_what_was_typed(
    cast: Cast, now: datetime
) -> None:
    line = plan_target(cast, now)
    build.target(cast.access(cast.vet), now, high=Decimal(56))
    item = line.item.public_id
    fields = {
        f"item-{item}-result": "partly",
        f"item-{item}-words": "a bit",
        f"item-{item}-version": line.version.public_id,
    }
    answer = send(cast, "LF", **fields)
    page = text_of(answer)
    present = plan_for(cast.access(cast.farrier))[0].version.public_id
    assert answer.status_code == 422
    assert "changed meanwhile" in page
    assert 'value="a bit"' in page
    assert f'value="{present}"' in page


def test_an_item_withdrawn_meanwhile_loses_no_words(cast: Cast, now: datetime) -> None:
    line = plan_target(cast, now)
    item = line.item.public_id
    plan_item_finish(
        access=cast.access(cast.vet),
        item_id=item,
        status="withdrawn",
        reason="No need.",
        now=now,
    )
    fields = {f"item-{item}-result": "partly", f"item-{item}-words": "half way"}
    answer = send(cast, "LF", **fields, **{f"item-{item}-version": line.version.public_id})
    assert answer.status_code == 422
    assert "half way" in text_of(answer)


def test_items_of_the_other_roles_are_not_asked_about(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.owner), now, text="Soak the hay.")
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "Soak the hay." not in page
