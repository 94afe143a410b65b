"""Putting a visit right, as the team sees it: who may, what stands where, and nothing typed is lost."""

import re
from datetime import datetime

import pytest
from django.core.exceptions import PermissionDenied

from horses.ledger.verify import broken_lines
from horses.models import Visit
from measurements.services.visit_correct import visit_put_right
from tests.cast import Cast
from tests.horses.doors import Door, text_of, told, verbs
from tests.measurements.visit_corrected import (
    DAY,
    WHY,
    correct,
    filled,
    in_force,
    written_up,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]


def test_history_says_what_changed_and_is_whole(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    correct(
        cast, visit, words="Front shoes, steel.", **{"LF-toe_angle-after": "52", "LF-size": "6"}
    )
    page = text_of(Door(cast.owner, cast.case).get("history"))
    assert "corrected the visit of 1 Nov 2026" in page
    assert "Left fore toe angle 45°, gauge, after the trim → left fore toe angle 52°" in page
    assert "size 5" in page
    assert "size 6" in page
    assert WHY in page
    assert list(broken_lines(cast.case)) == []
    assert "Ola Owner" in told(cast.case, "visit.corrected")
    assert "Finn Farrier" not in told(cast.case, "visit.corrected")


def test_the_version_before_stands_struck_through_on_board_and_visits(
    cast: Cast, now: datetime
) -> None:
    visit = written_up(cast, now, words="Wrong words here.")
    correct(cast, visit, words="Right words here.")
    for name in ("board", "visits"):
        page = text_of(Door(cast.owner, cast.case).get(name))
        assert re.search(r"<s>[^/]*</b>[^<]*Wrong words here\.</s>", page), name
        assert "corrected it on" in page
    assert "Right words here." in text_of(Door(cast.owner, cast.case).get("board"))


def test_only_who_wrote_it_may_correct_it(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    door = Door(cast.stand_in, cast.case)
    assert door.get("visit_correct", visit.public_id).status_code == 403
    with pytest.raises(PermissionDenied, match="Finn Farrier wrote this visit up"):
        visit_put_right(
            access=cast.access(cast.stand_in),
            public_id=visit.public_id,
            kept_on=DAY,
            work=[],
            readings=[],
            words="",
            outcomes=[],
            reason=WHY,
            now=now,
        )
    assert "Correct this visit" not in text_of(door.get("visits"))
    assert "Correct this visit" in text_of(Door(cast.farrier, cast.case).get("visits"))


def test_an_error_loses_nothing_typed(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    answer = correct(cast, visit, reason="", words="Other words.", **{"LF-toe_angle-after": "999"})
    assert answer.status_code == 422
    page = text_of(answer)
    for words in ("Other words.", 'value="999"', "Say why", "cannot be the toe angle"):
        assert words in page
    assert in_force(visit) == visit


def test_the_same_correction_twice_is_one(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    sent = filled(cast, visit, client_key="k", **{"LF-toe_angle-after": "52"})
    door = Door(cast.farrier, cast.case)
    for _ in range(2):
        assert door.post("visit_correct", visit.public_id, **sent).status_code == 302
    assert verbs(cast.case).count("visit.corrected") == 1
    assert Visit.objects.exclude(corrects=None).count() == 1


def test_two_corrections_of_one_version_are_a_conflict_that_keeps_what_was_typed(
    cast: Cast, now: datetime
) -> None:
    visit = written_up(cast, now)
    late = filled(cast, visit, words="My second thought.")
    correct(cast, visit, words="My first thought.")
    door = Door(cast.farrier, cast.case)
    answer = door.post("visit_correct", visit.public_id, **late)
    assert answer.status_code == 409
    page = text_of(answer)
    assert "My second thought." in page
    assert "My first thought." in page
    assert f"/visits/{in_force(visit).public_id}/correct/" in page  # the next sending is about it
    assert in_force(visit).words == "My first thought."


def test_an_old_address_leads_to_the_version_in_force(cast: Cast, now: datetime) -> None:
    visit = written_up(cast, now)
    correct(cast, visit, words="Other words.")
    answer = Door(cast.farrier, cast.case).get("visit_correct", visit.public_id)
    assert answer.status_code == 302
    assert in_force(visit).public_id in answer["Location"]
