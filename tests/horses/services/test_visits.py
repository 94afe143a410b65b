"""Visits: planned one at a time, moved, kept with the work, cancelled."""

from datetime import datetime, timedelta

import pytest
from django.http import Http404

from caseboard.lib.errors import Conflict
from horses.models import FootWork, HistoryLine, PlanItemOutcome, Trim, Visit
from horses.services.deed import DeedRefused
from horses.services.plan import latest_version
from horses.services.visit_planning import visit_cancel, visit_confirm, visit_plan
from horses.services.visits import ItemOutcome, WorkDone
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def test_planning_again_moves_the_one_planned_visit(cast: Cast, now: datetime) -> None:
    for days in (5, 9):
        visit_plan(access=cast.access(cast.owner), on=now.date() + days * DAY, now=now)
    assert Visit.objects.get().planned_on == now.date() + 9 * DAY


def test_two_people_moving_the_same_visit_see_each_other(cast: Cast, now: datetime) -> None:
    visit_plan(access=cast.access(cast.owner), on=now.date() + 5 * DAY, now=now)
    visit_plan(access=cast.access(cast.farrier), on=now.date() + 6 * DAY, version=1, now=now)
    with pytest.raises(Conflict) as caught:
        visit_plan(access=cast.access(cast.owner), on=now.date() + DAY, version=1, now=now)
    assert caught.value.theirs["planned_on"] == now.date() + 6 * DAY
    assert (caught.value.who, caught.value.at) == ("Finn Farrier", now)
    assert Visit.objects.get().planned_on == now.date() + 6 * DAY


def test_a_day_that_has_passed_is_not_planned(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        visit_plan(access=cast.access(cast.owner), on=now.date() - DAY, now=now)


def test_a_day_to_come_is_not_written_up(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        build.visit(cast.access(cast.farrier), now, now.date() + DAY)


def test_the_next_visit_comes_after_this_one(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        build.visit(cast.access(cast.farrier), now, now.date(), next_on=now.date())


def test_a_planned_visit_becomes_the_kept_one(cast: Cast, now: datetime) -> None:
    planned = visit_plan(access=cast.access(cast.owner), on=now.date(), now=now)
    kept = build.visit(
        cast.access(cast.farrier),
        now,
        now.date(),
        planned_id=planned.public_id,
        next_on=now.date() + 49 * DAY,
    )
    assert kept.pk == planned.pk
    assert list(Visit.objects.order_by("pk").values_list("status", flat=True)) == [
        "kept",
        "planned",
    ]


def test_the_work_on_each_foot_dates_its_trim(cast: Cast, now: datetime) -> None:
    work = [
        WorkDone("LF", trimmed=True, shoeing_left="shod", shoe="new"),
        WorkDone("RF", trimmed=False, shoeing_left="barefoot", shoe="pulled"),
    ]
    build.visit(cast.access(cast.farrier), now, now.date(), work=work)
    assert list(Trim.objects.values_list("foot", "trimmed_on")) == [("LF", now.date())]
    assert FootWork.objects.count() == 2


def test_what_became_of_a_plan_item_hangs_on_its_exact_version(cast: Cast, now: datetime) -> None:
    version = latest_version(build.plan_item(cast.access(cast.farrier), now))
    outcome = ItemOutcome(version.public_id, "partly", "Half of it.")
    build.visit(cast.access(cast.farrier), now, now.date(), outcomes=[outcome])
    assert PlanItemOutcome.objects.get().version == version


def test_a_plan_item_of_another_case_is_refused(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.farrier, cast.concern), now)
    outcome = ItemOutcome(latest_version(item).public_id, "done")
    with pytest.raises(DeedRefused, match="plan was changed"):
        build.visit(cast.access(cast.farrier), now, now.date(), outcomes=[outcome])
    assert not Visit.objects.exists()


def test_cancelling_keeps_the_word_and_happens_once(cast: Cast, now: datetime) -> None:
    planned = visit_plan(access=cast.access(cast.owner), on=now.date(), now=now)
    access = cast.access(cast.farrier)
    visit_cancel(access=access, public_id=planned.public_id, reason="Ill", now=now)
    visit_cancel(access=access, public_id=planned.public_id, reason="Ill", now=now)
    with pytest.raises(Conflict):
        visit_cancel(access=access, public_id=planned.public_id, reason="Away", now=now)
    assert Visit.objects.get().status_reason == "Ill"
    assert HistoryLine.objects.filter(verb="visit.cancelled").count() == 1


def test_a_visit_of_another_horse_is_not_cancelled(cast: Cast, now: datetime) -> None:
    planned = visit_plan(access=cast.access(cast.owner), on=now.date(), now=now)
    elsewhere = cast.access(cast.other_farrier, cast.other_case)
    with pytest.raises(Http404):
        visit_cancel(access=elsewhere, public_id=planned.public_id, reason="", now=now)


def test_writing_up_with_the_id_of_another_horses_visit_leaves_that_one_planned(
    cast: Cast, now: datetime
) -> None:
    planned = visit_plan(
        access=cast.access(cast.other_farrier, cast.other_case), on=now.date(), now=now
    )
    build.visit(cast.access(cast.farrier), now, now.date(), planned_id=planned.public_id)
    planned.refresh_from_db()
    assert planned.status == "planned"


def test_a_day_confirmed_meanwhile_is_moved_without_a_conflict_and_confirmed_anew(
    cast: Cast, now: datetime
) -> None:
    farrier, owner = cast.access(cast.farrier), cast.access(cast.owner)
    seen = visit_plan(access=farrier, on=now.date() + timedelta(days=9), now=now)
    visit_confirm(access=owner, public_id=seen.public_id, now=now)
    moved = visit_plan(
        access=farrier, on=now.date() + timedelta(days=11), version=seen.version, now=now
    )
    assert moved.confirmed_at is None
