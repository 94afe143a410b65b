"""Ready for a show: pairs, trims, what is overdue; it says what it knows and passes nobody."""

from datetime import datetime, timedelta

import pytest

from horses.models import FlagAnswer
from horses.queries.show_readiness import show_check
from horses.rules.engine import evaluate
from horses.services.exams import Grade, exam_record
from horses.services.flags import flag_answer
from horses.services.visit_planning import visit_plan
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)


def checks(cast: Cast, now: datetime, in_days: int = 20) -> dict[str, tuple[str, str]]:
    access = cast.access(cast.owner)
    found = show_check(access, on=now.date() + in_days * DAY, today=now.date())
    return {check.title: (check.state, check.words) for check in found}


def graded(
    cast: Cast,
    now: datetime,
    grade: int,
    scale: str = "aaep",
    days_ago: int = 5,
    painkiller: str = "",
) -> None:
    at = now - days_ago * DAY
    exam_record(
        access=cast.access(cast.vet),
        examined_at=at,
        feet=[],
        words="",
        now=at,
        grade=Grade(scale, grade, "hard circle", painkiller),
    )


def trimmed(cast: Cast, now: datetime, days_ago: int = 10, shod: str = "LF RF LH RH") -> None:
    at = now - days_ago * DAY
    work = [
        build.WorkDone(
            foot=f, trimmed=True, shoeing_left="shod" if f in shod.split() else "barefoot"
        )
        for f in ("LF", "RF", "LH", "RH")
    ]
    build.visit(cast.access(cast.farrier), at, at.date(), work=work)


def test_a_neat_horse_has_nothing_to_look_at_but_the_rule_book(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    graded(cast, now, 0)
    states = {title: state for title, (state, _) in checks(cast, now).items()}
    assert states.pop("The rule book") == "ask"
    assert set(states.values()) == {"done"}


def test_a_pair_that_is_not_complete_is_named(cast: Cast, now: datetime) -> None:
    trimmed(cast, now, shod="LF")
    assert checks(cast, now)["Pairs complete"][0] == "look"


def test_a_lost_shoe_is_named(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    build.flag(cast.access(cast.owner), now, "lost_shoe")
    found = checks(cast, now)
    assert found["Pairs complete"] == ("look", "A shoe is lost: left fore.")
    assert found["Flags and alerts"][0] == "look"


def test_feet_nobody_wrote_down_are_not_called_complete(cast: Cast, now: datetime) -> None:
    assert checks(cast, now)["Pairs complete"][0] == "look"
    assert checks(cast, now)["Trimmed neat"] == ("look", "No trim is written down.")


@pytest.mark.parametrize(("in_days", "state"), [(39, "done"), (40, "look")])
def test_the_trim_must_not_be_older_than_the_interval_on_the_day(
    in_days: int, state: str, cast: Cast, now: datetime
) -> None:
    trimmed(cast, now)  # ten days ago, every 49 days
    assert checks(cast, now, in_days)["Trimmed neat"][0] == state


@pytest.mark.parametrize(
    ("visit_in", "state"), [(50, "done"), (57, "done"), (58, "look"), (61, "look")]
)
def test_a_visit_planned_before_the_show_counts_unless_it_is_too_close_or_after(
    visit_in: int, state: str, cast: Cast, now: datetime
) -> None:
    trimmed(cast, now)
    visit_plan(access=cast.access(cast.farrier), on=now.date() + visit_in * DAY, now=now)
    assert checks(cast, now, 60)["Trimmed neat"][0] == state


def test_what_is_overdue_today_is_said(cast: Cast, now: datetime) -> None:
    trimmed(cast, now, days_ago=60)
    assert checks(cast, now)["Nothing overdue"][0] == "look"


def test_the_page_asks_for_the_day_and_answers_for_it(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    door = Door(cast.owner, cast.case)
    assert "Pairs complete" not in text_of(door.get("show_check"))
    page = door.client.get(door.address("show_check"), {"on": "2026-11-20"})
    assert "Pairs complete" in text_of(page)


@pytest.mark.parametrize("day", ["2026-11-01", "2029-01-01", "soon", ""])
def test_a_day_that_cannot_be_is_said_beside_the_field(day: str, cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    assert door.client.get(door.address("show_check"), {"on": day}).status_code == 422


def test_the_grade_and_the_alerts_are_said_before_anything_else(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    graded(cast, now, 4, painkiller="phenylbutazone")
    evaluate(cast.horse, now=now)
    found = checks(cast, now)
    assert list(found)[:2] == ["Lameness", "Flags and alerts"]
    assert found["Lameness"] == (
        "look",
        "Grade 4, scale AAEP 0 to 5, on 28 Oct 2026 (5 days ago), hard circle, last painkiller "
        "phenylbutazone. Ask your vet before you enter.",
    )
    assert found["Flags and alerts"] == (
        "look",
        "Lameness grade 4 (AAEP, 0 to 5). There is 1 alert on the board: talk before you enter.",
    )


@pytest.mark.parametrize(("grade", "state"), [(0, "done"), (1, "look"), (3, "look")])
def test_any_grade_over_nought_is_asked_about(
    grade: int, state: str, cast: Cast, now: datetime
) -> None:
    graded(cast, now, grade)
    assert checks(cast, now)["Lameness"][0] == state


def test_without_a_grade_or_with_an_old_one_nothing_is_called_sound(
    cast: Cast, now: datetime
) -> None:
    assert checks(cast, now)["Lameness"][0] == "look"
    graded(cast, now, 0, days_ago=90)
    state, words = checks(cast, now)["Lameness"]
    assert state == "look"
    assert "That is long ago" in words


def test_grades_of_two_scales_stand_beside_each_other(cast: Cast, now: datetime) -> None:
    graded(cast, now, 2, days_ago=9)
    graded(cast, now, 3, scale="ten", days_ago=5)
    words = checks(cast, now)["Lameness"][1]
    assert "Grade 2, scale AAEP 0 to 5" in words
    assert "Grade 3, scale 0 to 10" in words
    graded(cast, now, 0, days_ago=1)
    assert checks(cast, now)["Lameness"][0] == "done"


def test_a_flag_of_the_last_weeks_is_said_though_it_was_answered(cast: Cast, now: datetime) -> None:
    raised = now - 20 * DAY
    flag = build.flag(cast.access(cast.owner), raised, "short_stride")
    flag_answer(
        access=cast.access(cast.farrier),
        flag_id=flag.public_id,
        words="Seen.",
        kind=FlagAnswer.Kind.ANSWERED,
        now=raised + DAY,
    )
    state, words = checks(cast, now)["Flags and alerts"]
    assert state == "look"
    assert words.startswith("Of the last weeks, closed by now: ")
    later = now + 60 * DAY
    assert checks(cast, later)["Flags and alerts"][0] == "done"
