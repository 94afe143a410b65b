"""What the command of all goals says of what was measured."""

from typing import Any

import pytest

from tests.bench.all import measure_all
from tests.bench.goals import GOALS, Goal
from tests.bench.pages import nodes


def _goal(measured: float, **more: Any) -> Goal:
    return Goal("a page", lambda _quick: measured, 10, "bare views", **more)


def test_a_goal_is_missed_beyond_a_fifth_only() -> None:
    assert not _goal(0).is_missed(12.0)
    assert _goal(0).is_missed(12.1)


def test_where_more_is_better_less_is_a_miss() -> None:
    goal = _goal(0, smaller_is_better=False)
    assert goal.is_missed(8.0)
    assert not goal.is_missed(9.0)


def test_every_goal_missed_is_counted_and_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert measure_all([_goal(9), _goal(30), _goal(40)], quick=True) == 2
    said = capsys.readouterr().out.splitlines()
    assert [line.endswith("MISSED") for line in said] == [False, True, True]
    assert "at most 10" in said[1]
    assert "30.0 bare views" in said[1]


def test_what_waits_for_another_page_may_not_get_worse_meanwhile(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert measure_all([_goal(n, meanwhile=20) for n in (11, 19, 25)], quick=True) == 1
    ends = [line.split("bare views")[1].strip() for line in capsys.readouterr().out.splitlines()]
    assert ends == ["", "not yet, meanwhile 20", "MISSED"]


def test_no_two_goals_have_one_name() -> None:
    assert len({goal.name for goal in GOALS}) == len(GOALS)


def test_the_nodes_of_a_page_are_its_elements() -> None:
    assert nodes("<p>One <b>two</b><br><input name=a></p><!-- <i> -->") == 4
