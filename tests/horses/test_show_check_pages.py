"""Ready for a show: pairs, trims, what is overdue; it says what it knows and passes nobody."""

from datetime import datetime, timedelta

import pytest

from horses.services.visit_planning import visit_plan
from horses.show_check import show_check
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)


def checks(cast: Cast, now: datetime, in_days: int = 20) -> dict[str, tuple[str, str]]:
    standing = cast.standing(cast.owner)
    found = show_check(standing, on=now.date() + in_days * DAY, today=now.date())
    return {check.title: (check.state, check.words) for check in found}


def trimmed(cast: Cast, now: datetime, days_ago: int = 10, shod: str = "LF RF LH RH") -> None:
    at = now - days_ago * DAY
    work = [
        build.WorkDone(
            foot=f, trimmed=True, shoeing_left="shod" if f in shod.split() else "barefoot"
        )
        for f in ("LF", "RF", "LH", "RH")
    ]
    build.visit(cast.standing(cast.farrier), at, at.date(), work=work)


def test_a_neat_horse_has_nothing_to_look_at_but_the_rule_book(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    states = {title: state for title, (state, _) in checks(cast, now).items()}
    assert states.pop("The rule book") == "ask"
    assert set(states.values()) == {"done"}


def test_a_pair_that_is_not_complete_is_named(cast: Cast, now: datetime) -> None:
    trimmed(cast, now, shod="LF")
    assert checks(cast, now)["Pairs complete"][0] == "look"


def test_a_lost_shoe_is_named(cast: Cast, now: datetime) -> None:
    trimmed(cast, now)
    build.flag(cast.standing(cast.owner), now, "lost_shoe")
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
    visit_plan(standing=cast.standing(cast.farrier), on=now.date() + visit_in * DAY, now=now)
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
