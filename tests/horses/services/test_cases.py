"""Cases: opened with the same team, closed with how it ended."""

from datetime import datetime

import pytest

from horses.models import Case, CaseSeen, Membership, Note
from horses.services.cases import case_close, case_mark_seen, case_open
from horses.services.deed import DeedRefused
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def test_a_new_case_takes_the_team_of_today_along(cast: Cast, now: datetime) -> None:
    case = case_open(access=cast.access(cast.vet), title="Hind feet", now=now)
    team = Membership.objects.filter(case=case).values_list("person", "role", "stand_in")
    here = Membership.objects.filter(case=cast.case, left_at=None)
    assert set(team) == set(here.values_list("person", "role", "stand_in"))
    assert cast.removed.pk not in {person for person, _, _ in team}


def test_why_becomes_the_first_note_of_the_new_case(cast: Cast, now: datetime) -> None:
    case = case_open(access=cast.access(cast.vet), title="Hind", why="Uneven.", now=now)
    assert (Note.objects.get().case, Note.objects.get().body) == (case, "Uneven.")


def test_the_standing_case_is_not_closed(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused, match="standing case stays open"):
        case_close(access=cast.access(cast.owner), outcome="met", words="Done.", now=now)


def test_a_case_is_not_closed_without_words(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner, cast.concern)
    with pytest.raises(DeedRefused, match="how it ended"):
        case_close(access=access, outcome="met", words=" ", now=now)
    assert Case.objects.get(pk=cast.concern.pk).is_open


def test_an_outcome_that_does_not_exist_is_refused(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner, cast.concern)
    with pytest.raises(ValueError):
        case_close(access=access, outcome="splendid", words="Done.", now=now)


def test_how_far_a_person_had_read_is_theirs_alone(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now)
    owner = cast.access(cast.owner)
    assert case_mark_seen(access=owner, now=now) == 0
    assert case_mark_seen(access=owner, now=now) == owner.case.last_seq
    assert CaseSeen.objects.count() == 1
    assert case_mark_seen(access=cast.access(cast.vet), now=now) == 0
