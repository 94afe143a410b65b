"""When a horse is due, how that is said, and whose word the time between trims is."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import pytest

from horses.domain.trim_cycle import (
    GRACE_DAYS,
    SOON_DAYS,
    Due,
    due_for,
    due_on,
    interval_on,
    usual_intervals,
)

TODAY = date(2026, 6, 1)
WINTER = date(2026, 12, 1)


@dataclass
class Care:
    born_on: date | None = date(2015, 5, 1)
    use: str = "school"
    state: str = "active"
    interval_days: int = 49
    interval_winter_days: int | None = None
    interval_basis: str = "default"
    interval_by_name: str = ""
    interval_by_role: str = ""
    interval_set_on: date | None = None
    interval_why: str = ""
    young_schedule: str = ""
    weaned_on: date | None = None


SET = Care(
    interval_basis="team", interval_days=42, interval_by_name="Finn", interval_by_role="farrier"
)
FOAL = Care(born_on=date(2026, 4, 1), use="young")


def due(care: Care = SET, *, planned: int | None = None, trim: int | None = None) -> Due:
    """Days from today to the planned visit, and since the last trim."""
    return due_for(
        care,
        today=TODAY,
        planned_on=None if planned is None else TODAY + timedelta(days=planned),
        last_trim_on=None if trim is None else TODAY - timedelta(days=trim),
    )


@pytest.mark.parametrize(
    ("trim", "state", "words"),
    [
        (10, "later", "due in 4 weeks and 4 days, not planned yet"),
        (42 - SOON_DAYS - 1, "later", "due in 11 days, not planned yet"),
        (42 - SOON_DAYS, "soon", "due in 10 days, not planned yet"),
        (41, "soon", "due in 1 day, not planned yet"),
        (42, "due", "due today, not planned yet"),
        (42 + GRACE_DAYS, "due", "due 7 days ago"),
        (43 + GRACE_DAYS, "overdue", "overdue by 8 days"),
    ],
)
def test_without_a_plan_the_interval_says_when(trim: int, state: str, words: str) -> None:
    found = due(trim=trim)
    assert (found.state, found.words) == (state, words)


@pytest.mark.parametrize(
    ("planned", "state", "label", "words"),
    [
        (21, "later", "Planned", "planned in 21 days"),
        (SOON_DAYS, "soon", "Planned", "planned in 10 days"),
        (0, "due", "Due", "planned for today"),
        (-1, "asked", "Did the visit take place?", "planned 1 day ago: did it take place?"),
    ],
)
def test_a_planned_day_comes_before_the_interval(
    planned: int, state: str, label: str, words: str
) -> None:
    found = due(planned=planned, trim=90)
    assert (found.state, found.label, found.words) == (state, label, words)


def test_a_horse_that_rests_is_never_due() -> None:
    assert due(replace(SET, state="paused"), planned=-9, trim=200).state == "resting"


def test_without_a_trim_nothing_is_counted() -> None:
    assert due().state == "unknown"


def test_a_foal_without_a_trim_is_due_from_its_birth() -> None:
    assert due_on(FOAL, None) == date(2026, 4, 15)
    assert due(FOAL).state == "overdue"


def test_the_vets_order_comes_before_age_and_winter() -> None:
    ordered = replace(
        FOAL,
        interval_basis="vet",
        interval_days=28,
        interval_winter_days=70,
        interval_by_name="Vera",
        interval_by_role="vet",
        interval_set_on=date(2026, 5, 2),
    )
    assert interval_on(ordered, WINTER).words == "4 weeks (the vet's order, Vera (vet), 2 May 2026)"


def test_in_winter_the_winter_weeks_count_when_there_are_any() -> None:
    both = replace(SET, interval_winter_days=56)
    assert interval_on(both, WINTER).days == 56
    assert interval_on(both, TODAY).days == 42
    assert interval_on(SET, WINTER).days == 42


def test_a_foal_goes_by_its_age_until_somebody_sets_weeks() -> None:
    assert interval_on(FOAL, TODAY).days == 28
    assert interval_on(replace(FOAL, interval_basis="team", interval_days=42), TODAY).days == 42


def test_weeks_that_nobody_set_say_so_and_no_value_of_a_field_names_a_source() -> None:
    assert interval_on(Care(), TODAY).words == "not set; every 7 weeks assumed"
    assert interval_on(FOAL, TODAY).words == "4 weeks (by age)"


def test_what_is_usual_is_marked_for_this_horse_and_has_a_source() -> None:
    grown = usual_intervals(Care(), TODAY)
    assert all(one.source for one in grown)
    assert [one.words for one in grown if one.fits] == ["a riding horse", "a grown horse"]
    assert [one.words for one in usual_intervals(FOAL, TODAY) if one.fits] == [
        "a foal up to weaning",
        "a young horse after weaning",
    ]


def test_a_grown_horse_that_was_never_trimmed_here_is_not_called_late() -> None:
    """A foal's first look counts from its birth; of a grown horse nothing is known."""
    assert due(Care(born_on=date(2015, 5, 1))).state == "unknown"
    assert due(FOAL).state != "unknown"


@pytest.mark.parametrize(
    ("month", "days"), [(10, 42), (11, 56), (12, 56), (1, 56), (2, 56), (3, 42)]
)
def test_winter_is_from_november_to_february(month: int, days: int) -> None:
    care = replace(SET, interval_winter_days=56)
    assert interval_on(care, date(2026, month, 15)).days == days
