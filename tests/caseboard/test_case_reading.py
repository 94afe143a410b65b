"""One reading of a case, handed to board, sheet, copy and barn papers."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from caseboard.board import board_for
from caseboard.case_reading import CaseReading
from caseboard.export.case_copy import case_copy
from caseboard.sheets.blank import blank_for
from caseboard.sheets.plan_gather import sheet_for
from horses.services.flags import flag_answer
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
MADE: dict[str, Callable[[CaseReading], Any]] = {
    "board": lambda reading: board_for(reading, seen_seq=0),
    "sheet": sheet_for,
    "blank": blank_for,
    "copy": case_copy,
}


@pytest.fixture
def filled(cast: Cast, now: datetime) -> Cast:
    for person in (cast.vet, cast.farrier):
        build.plan_item(cast.access(person), now, text=f"Heels lower, says {person}.")
        build.reading(cast.access(person), now, "LF", "toe_angle", 51, now.date())
    build.flag(cast.access(cast.owner), now)
    build.visit(cast.access(cast.farrier), now, now.date())
    return cast


def queries_of(make: Callable[[], Any]) -> int:
    with CaptureQueriesContext(connection) as caught:
        make()
    return len(caught)


@pytest.mark.parametrize("first", MADE)
@pytest.mark.parametrize("then", MADE)
def test_what_another_page_has_read_already_changes_nothing(
    first: str, then: str, filled: Cast, now: datetime
) -> None:
    access = filled.access(filled.owner)
    shared = CaseReading(access, now)
    MADE[first](shared)
    alone, after = MADE[then](CaseReading(access, now)), MADE[then](shared)
    assert shown(after) == shown(alone)


def shown(made: Any) -> Any:
    """Rows are equal by their id; what is bound to one reading goes by its rows alone."""
    return {name: value for name, value in vars(made).items() if name != "numbers"}


def test_a_second_page_of_the_same_reading_asks_for_little(filled: Cast, now: datetime) -> None:
    access = filled.access(filled.owner)
    reading = CaseReading(access, now)
    board_for(reading, seen_seq=0)
    again = queries_of(lambda: sheet_for(reading))
    assert again <= queries_of(lambda: sheet_for(CaseReading(access, now))) / 2


def test_nothing_is_read_before_it_is_asked_for(filled: Cast, now: datetime) -> None:
    access = filled.access(filled.owner)
    assert queries_of(lambda: CaseReading(access, now)) == 0
    assert queries_of(lambda: CaseReading(access, now).team) == 1


def test_the_flags_are_the_newest_first(cast: Cast, now: datetime) -> None:
    owner = cast.access(cast.owner)
    older = build.flag(owner, now - timedelta(days=2))
    newest = build.flag(owner, now)
    middle = build.flag(owner, now - timedelta(days=1))
    assert CaseReading(owner, now).flags == [newest, middle, older]


def test_flags_answered_lately_are_the_oldest_first(cast: Cast, now: datetime) -> None:
    owner, vet = cast.access(cast.owner), cast.access(cast.vet)
    flags = [build.flag(owner, now - timedelta(days=days)) for days in (2, 1)]
    for flag in reversed(flags):
        flag_answer(access=vet, flag_id=flag.public_id, words="Seen to.", now=now)
    assert CaseReading(owner, now).just_answered == flags
