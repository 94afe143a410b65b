"""What the clock asks for is done once, however many clocks there are."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from caseboard.processes import rounds
from horses.jobs.heartbeat import beat, last_beat
from horses.jobs.turn import turn_taken
from horses.models import Heartbeat
from tests.at_once import at_once

EVERY, HOLD = timedelta(minutes=1), timedelta(minutes=2)


def took(now: datetime, name: str = "sweep") -> bool:
    with turn_taken(name, every=EVERY, hold=HOLD, now=now) as mine:
        return mine


@pytest.mark.django_db
def test_the_first_of_two_clocks_takes_the_turn(now: datetime) -> None:
    assert [took(now), took(now + timedelta(seconds=59))] == [True, False]


@pytest.mark.django_db
def test_the_next_turn_comes_when_its_time_has_passed(now: datetime) -> None:
    assert [took(now), took(now + EVERY)] == [True, True]


@pytest.mark.django_db
def test_one_piece_of_work_takes_no_turn_from_another(now: datetime) -> None:
    assert [took(now), took(now, "nightly")] == [True, True]


@pytest.mark.django_db
def test_a_turn_under_way_is_nobody_elses_though_it_takes_long(now: datetime) -> None:
    with turn_taken("sweep", every=EVERY, hold=HOLD, now=now):
        assert not took(now + HOLD - timedelta(seconds=1))


@pytest.mark.django_db
def test_a_worker_that_died_at_it_leaves_the_turn_free_after_a_while(now: datetime) -> None:
    died = turn_taken("sweep", every=EVERY, hold=HOLD, now=now)
    died.__enter__()
    assert took(now + HOLD)


@pytest.mark.django_db
def test_a_turn_that_failed_is_free_at_once(now: datetime) -> None:
    with (
        pytest.raises(ValueError, match="one bad rule"),
        turn_taken("sweep", every=EVERY, hold=HOLD, now=now),
    ):
        raise ValueError("one bad rule")
    assert took(now)


@pytest.mark.django_db
def test_a_turn_is_no_sign_of_life(clock_stands: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("horses.jobs.heartbeat._last", {})
    took(clock_stands)
    assert (last_beat("worker"), last_beat("clock")) == (None, None)
    beat("worker")
    assert Heartbeat.objects.filter(kind="turn").count() == 1


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("known", [False, True])
def test_of_clocks_that_ask_at_the_same_moment_one_takes_it(known: bool, now: datetime) -> None:
    if known:
        took(now - 2 * EVERY)

    assert sorted(at_once(*[lambda: took(now)] * 4)) == [False, False, False, True]


@pytest.mark.django_db
def test_two_beats_do_each_piece_of_work_once(
    clock_stands: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []

    def note(name: str) -> Any:
        return lambda **_: done.append(name)

    for name in ("evaluate_due", "tidy", "evaluate_forgotten", "look_at_photos"):
        monkeypatch.setattr(rounds, name, note(name))
    for _beat in range(2):
        rounds.sweep()
        rounds.nightly()
        rounds.photos_look()
    assert done == ["evaluate_due", "tidy", "evaluate_forgotten", "look_at_photos"]
