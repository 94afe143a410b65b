"""A foal's looks and growth windows as days, each with its source."""

from datetime import date, timedelta

import pytest

from horses.domain.foals import (
    SCHEDULES,
    correction_words,
    is_young,
    looks_ahead,
    months_after,
    schedule_of,
    windows_of,
    young_interval_days,
)

BORN = date(2026, 4, 1)


def test_the_windows_are_days_of_this_foal() -> None:
    assert [(w.joint.split()[0], w.until) for w in windows_of(BORN)] == [
        ("fetlock", date(2026, 7, 10)),
        ("carpus", date(2026, 10, 1)),
        ("hock", date(2027, 4, 1)),
    ]


@pytest.mark.parametrize(
    ("day", "state"),
    [(22, "open"), (21, "closing"), (0, "closing"), (-1, "past")],
)
def test_a_window_is_open_then_closing_then_past(day: int, state: str) -> None:
    fetlock = windows_of(BORN)[0]
    assert fetlock.state(fetlock.until - timedelta(days=day)) == state


def test_a_window_says_its_day_and_to_ask_the_vet_before() -> None:
    words = windows_of(BORN)[0].words(date(2026, 7, 1))
    assert words == (
        "The time to act on the fetlock ends at about 100 days, 10 Jul 2026: 9 days left. If it "
        "does not stand straight, ask the vet now. At 6 to 9 months a quarter of the growth plates "
        "above it were closed, in 19 fillies."
    )


@pytest.mark.parametrize("months", [3, 6, 12, 20])
def test_no_window_calls_itself_the_end_of_growth(months: int) -> None:
    today = BORN + timedelta(days=months * 31)
    said = " ".join(window.words(today) for window in windows_of(BORN))
    assert "done its growing" not in said
    assert "grows until" not in said


def test_a_past_carpus_says_when_its_growth_plate_closes() -> None:
    # Strand et al. 2007: the radius closes at 27.4 to 32.0 months; acting on it ends long before.
    carpus = windows_of(BORN)[1]
    words = carpus.words(carpus.until + timedelta(days=1))
    assert "The usual time to act on the carpus (knee) ended on" in words
    assert "closes at about 27 to 32 months" in words


def test_each_window_and_schedule_names_its_source() -> None:
    assert all(window.source for window in windows_of(BORN))
    assert all(schedule.source for schedule in SCHEDULES.values())


def test_the_first_look_comes_within_two_weeks_then_every_four_to_weaning() -> None:
    days = looks_ahead("", BORN, None, last_look=None, until=date(2026, 7, 1))
    assert days == [date(2026, 4, 15), date(2026, 5, 13), date(2026, 6, 10)]


def test_after_weaning_it_is_seven_weeks() -> None:
    assert young_interval_days("early", BORN, None, date(2026, 9, 30)) == 28
    assert young_interval_days("early", BORN, None, date(2026, 10, 1)) == 49
    assert young_interval_days("early", BORN, date(2026, 8, 1), date(2026, 8, 1)) == 49


def test_another_rule_moves_the_first_look() -> None:
    first = {
        key: looks_ahead(key, BORN, None, last_look=None, until=months_after(BORN, 2))[0]
        for key in SCHEDULES
    }
    assert first == {
        "early": date(2026, 4, 15),
        "four_weeks": date(2026, 4, 29),
        "month": date(2026, 5, 1),
    }


def test_an_unknown_rule_is_the_usual_one() -> None:
    assert schedule_of("gone").key == "early"


def test_a_horse_is_young_for_two_years() -> None:
    assert is_young(BORN, BORN)
    assert is_young(BORN, BORN + timedelta(days=729))
    assert not is_young(BORN, BORN + timedelta(days=730))
    assert not is_young(BORN, BORN - timedelta(days=1))
    assert not is_young(None, BORN)


def test_a_month_without_that_day_ends_on_its_last() -> None:
    assert months_after(date(2026, 8, 31), 6) == date(2027, 2, 28)
    assert months_after(date(2026, 12, 31), 12) == date(2027, 12, 31)


def test_past_the_first_year_it_is_said_that_trimming_does_not_straighten_a_leg() -> None:
    assert correction_words(BORN, date(2027, 3, 31)) == ""
    assert "more harm than help" in correction_words(BORN, date(2027, 4, 1))
