"""A written-up visit put right in place: the new version counts, the old one is kept."""

from datetime import date, datetime, timedelta

import pytest

from horses.models import Flag, FootWork, PlanItemOutcome, Trim
from horses.queries.board import flag_is_open, last_trimmed_on, next_visit
from horses.queries.shoes import last_shoeing, shoes_now
from horses.queries.visit_statistics import rhythm_for
from horses.services.plan import latest_version
from horses.services.plan_end import plan_item_finish
from horses.services.visit_planning import visit_confirm
from horses.services.visits import ItemOutcome, WorkDone
from measurements.models import Reading
from measurements.queries.numbers import current_readings, numbers_of
from measurements.queries.visit_readings import visit_readings
from measurements.services.visit_void import visit_take_back
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, last_line, text_of
from tests.measurements.visit_corrected import (
    DAY,
    WHY,
    angles,
    correct,
    filled,
    in_force,
    written_up,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]


def test_one_value_put_right_counts_and_the_rest_stays_as_it_was(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    assert correct(cast, visit, **{"LF-toe_angle-after": "52"}).status_code == 302
    assert angles(cast) == {"LF": 52, "RF": 51}
    assert Reading.objects.count() == 3  # one more row, for the one that was wrong
    new = Reading.objects.get(corrects__isnull=False)
    assert new.correction_reason == f"Visit corrected: {WHY}"
    assert new.taken_by_name == "Finn Farrier"
    assert [
        float(r.value) for r in numbers_of(cast.horse, today=now.date()).readings["LF", "toe_angle"]
    ] == [52]


def test_the_page_comes_filled_in_and_sent_as_it_is_changes_nothing_but_the_version(
    cast: Cast, now: datetime
) -> None:
    item = build.plan_item(cast.access(cast.vet), now, who_does="farrier")
    outcome = ItemOutcome(latest_version(item).public_id, PlanItemOutcome.Result.PARTLY, "half")
    work = [
        WorkDone(
            "LF",
            trimmed=True,
            shoeing_left="shod_wedge",
            shoe="new",
            kind="bar",
            material="steel",
            size="5",
            pad="flat",
            clips="toe",
            studs="road",
            nails=6,
            wear="toe",
            landing="heel",
            shoe_words="wide",
            words="a crack",
        ),
        WorkDone("RH", trimmed=False, shoeing_left="barefoot", words="looked at"),
    ]
    odd = build.taken("LF", "toe_angle", 72, confirmed_odd=True, shoeing="shod_wedge")
    visit = written_up(cast, now, work=work, readings=[odd], outcomes=[outcome])
    assert correct(cast, visit).status_code == 302
    later = in_force(visit)
    skip = {"id", "public_id", "visit_id", "_state"}
    rows = [
        [{k: v for k, v in vars(row).items() if k not in skip} for row in v.work.order_by("foot")]
        for v in (visit, later)
    ]
    assert rows[0] == rows[1]
    assert (later.kept_on, later.words) == (visit.kept_on, visit.words)
    assert Reading.objects.count() == 1
    assert [(o.result, o.words) for o in later.outcomes.all()] == [("partly", "half")]
    assert last_line(cast.case, "visit.corrected").after["changes"] == []  # type: ignore[index]
    assert next_visit(cast.horse).planned_on == date(2026, 12, 20)  # type: ignore[union-attr]


def test_shoes_and_trims_follow_the_version_in_force(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    correct(
        cast,
        visit,
        **{
            "LF-shoe": "pulled",
            "LF-size": "",
            "RF-trimmed": "",
            "RF-shoe": "none",
            "RF-toe_angle-after": "",
        },
    )
    assert shoes_now(cast.horse).feet["LF"].is_shod is False
    assert last_shoeing(cast.horse) == {}
    assert set(Trim.objects.in_force().values_list("foot", flat=True)) == {"LF"}
    assert angles(cast) == {"LF": 45}
    assert FootWork.objects.in_force().count() == 1


def test_another_day_takes_readings_trims_and_the_count_along(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    correct(cast, visit, kept_on="2026-10-28")
    assert last_trimmed_on(cast.horse) == date(2026, 10, 28)
    assert {r.taken_on for r in current_readings(cast.horse)} == {date(2026, 10, 28)}
    access = cast.access(cast.owner)
    counts = rhythm_for(access).farriers
    assert [(one.name, one.kept) for one in counts] == [("Finn Farrier", 1)]


def test_a_trim_that_another_ones_reading_speaks_of_stays(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    build.reading(cast.access(cast.vet), now, "RF", "heel_angle", 45, DAY)
    correct(cast, visit, kept_on="2026-10-28")
    days = Trim.objects.in_force().filter(foot="RF").values_list("trimmed_on", flat=True)
    assert list(days) == [date(2026, 10, 28), DAY]


def test_marks_on_plan_items_follow(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.vet), now, who_does="farrier")
    outcome = ItemOutcome(latest_version(item).public_id, PlanItemOutcome.Result.DONE)
    visit = written_up(cast, now, outcomes=[outcome])
    name = f"item-{item.public_id}"
    correct(cast, visit, **{f"{name}-result": "not_done", f"{name}-words": "no bar shoe left"})
    later = in_force(visit)
    assert [(o.result, o.words) for o in later.outcomes.all()] == [("not_done", "no bar shoe left")]
    page = text_of(Door(cast.owner, cast.case).get("plan_item", item.public_id))
    assert "visit corrected" in page
    assert "no bar shoe left" in page


def test_a_mark_on_an_item_finished_since_is_kept(cast: Cast, now: datetime) -> None:
    item = build.plan_item(cast.access(cast.vet), now, who_does="farrier")
    outcome = ItemOutcome(latest_version(item).public_id, PlanItemOutcome.Result.DONE)
    visit = written_up(cast, now, outcomes=[outcome])
    plan_item_finish(
        access=cast.access(cast.vet),
        item_id=item.public_id,
        status="withdrawn",
        reason="not needed",
        now=now,
    )
    assert correct(cast, visit, words="Front shoes, steel.").status_code == 302
    assert [o.result for o in in_force(visit).outcomes.all()] == ["done"]


def test_the_next_day_planned_with_it_is_moved_or_put_off_with_it(
    cast: Cast, now: datetime
) -> None:
    visit = written_up(cast, now)
    correct(cast, visit, next_on="2027-01-05")
    assert next_visit(cast.horse).planned_on == date(2027, 1, 5)  # type: ignore[union-attr]
    correct(cast, in_force(visit), next_on="")
    assert next_visit(cast.horse) is None
    assert "next visit: 5 Jan 2027 → none" in str(last_line(cast.case, "visit.corrected").after)


def test_a_next_day_that_was_confirmed_is_no_longer_asked_about(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    sent = filled(cast, visit, next_on="2027-01-05")
    booked = next_visit(cast.horse)
    assert booked is not None
    visit_confirm(access=cast.access(cast.owner), public_id=booked.public_id, now=now)
    door = Door(cast.farrier, cast.case)
    answer = door.post("visit_correct", visit.public_id, **sent)
    assert answer.status_code == 422
    assert "changed meanwhile" in text_of(answer)
    assert 'name="next_on"' not in text_of(door.get("visit_correct", visit.public_id))
    assert correct(cast, visit).status_code == 302
    assert next_visit(cast.horse).planned_on == date(2026, 12, 20)  # type: ignore[union-attr]


def test_a_lost_shoe_stays_settled_or_opens_again_by_what_is_right(
    cast: Cast, now: datetime
) -> None:
    flag = build.flag(cast.access(cast.owner), now - timedelta(days=3), "lost_shoe", feet=["LF"])
    visit = written_up(cast, now)
    correct(cast, visit, words="Front shoes, steel.")
    assert not flag_is_open(Flag.objects.get(pk=flag.pk))
    gone = {"LF-trimmed": "", "LF-shoe": "none", "LF-size": "", "LF-toe_angle-after": ""}
    correct(cast, in_force(visit), **gone)
    assert flag_is_open(Flag.objects.get(pk=flag.pk))
    correct(cast, in_force(visit), **{"LF-trimmed": "on", "LF-shoe": "reset", "LF-left": "shod"})
    assert not flag_is_open(Flag.objects.get(pk=flag.pk))
    visit_take_back(
        access=cast.access(cast.farrier),
        public_id=in_force(visit).public_id,
        reason="wrong horse",
        now=now + timedelta(hours=1),
    )
    assert flag_is_open(Flag.objects.get(pk=flag.pk))


def test_a_shoe_lost_after_the_visit_is_still_lost_after_its_correction(
    cast: Cast, now: datetime
) -> None:
    visit = written_up(cast, now)
    flag = build.flag(cast.access(cast.owner), now, "lost_shoe", feet=["LF"])
    correct(cast, visit, kept_on=str(DAY), words="Front shoes, steel.")
    assert flag_is_open(flag)
    assert not shoes_now(cast.horse).feet["LF"].is_shod


def test_a_corrected_visit_is_taken_back_whole(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    correct(cast, visit, **{"LF-toe_angle-after": "52"})
    visit_take_back(
        access=cast.access(cast.farrier),
        public_id=in_force(visit).public_id,
        reason="wrong horse",
        now=now + timedelta(hours=1),
    )
    assert angles(cast) == {}
    assert not Trim.objects.in_force().exists()
    assert next_visit(cast.horse) is None


def test_the_readings_of_a_visit_are_those_of_all_its_versions(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    correct(cast, visit, **{"LF-toe_angle-after": "52"})
    correct(cast, in_force(visit), **{"RF-toe_angle-after": "50.5", "LF-heel_angle-after": "44"})
    values = {(r.foot, r.quantity): float(r.value) for r in visit_readings(in_force(visit))}
    assert values == {("LF", "toe_angle"): 52, ("RF", "toe_angle"): 50.5, ("LF", "heel_angle"): 44}
