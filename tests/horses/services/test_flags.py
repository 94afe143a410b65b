"""Flags: how they are ranked, and which answer closes which."""

from datetime import datetime
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.models import Flag, FlagAnswer, HistoryLine, Note, Notice
from horses.queries.board import flag_is_open, open_flags_for
from horses.services.deed import DeedRefused
from horses.services.flags import closes_flag, flag_answer
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def _raised(role: str, urgency: str) -> Flag:
    return Flag(raised_role=role, urgency=urgency)


@pytest.mark.parametrize("raised_by", ["owner", "farrier", "vet", "carer"])
@pytest.mark.parametrize(("role", "closes"), [("owner", False), ("farrier", False), ("vet", True)])
def test_an_answer_to_a_now_flag_closes_it_only_by_a_vet(
    raised_by: str, role: str, closes: bool
) -> None:
    assert closes_flag(_raised(raised_by, "now"), role=role, kind="answered") is closes


@pytest.mark.parametrize("urgency", ["today", "next_visit"])
@pytest.mark.parametrize("raised_by", ["owner", "farrier", "vet", "carer"])
@pytest.mark.parametrize("role", ["owner", "farrier", "vet"])
def test_another_flag_is_closed_by_any_other_side(urgency: str, raised_by: str, role: str) -> None:
    """A carer stands with the owner: the two are one side."""
    side = "owner" if raised_by == "carer" else raised_by
    assert closes_flag(_raised(raised_by, urgency), role=role, kind="answered") is (role != side)


@pytest.mark.parametrize("urgency", ["now", "today", "next_visit"])
def test_what_the_vet_said_on_the_phone_closes_any_flag(urgency: str) -> None:
    assert closes_flag(_raised("owner", urgency), role="owner", kind="vet_phoned")


def _answer(cast: Cast, who: str, flag: Flag, now: datetime, **more: Any) -> FlagAnswer:
    fields: dict[str, Any] = {"words": "Seen.", **more}
    return flag_answer(
        access=cast.access(getattr(cast, who)), flag_id=flag.public_id, now=now, **fields
    )


def test_a_now_flag_stays_open_after_the_farriers_answer_and_goes_with_the_vets(
    cast: Cast, now: datetime
) -> None:
    flag = build.flag(cast.access(cast.owner), now, "in_sole")
    _answer(cast, "farrier", flag, now)
    assert open_flags_for(cast.access(cast.owner)) == [flag]
    _answer(cast, "vet", flag, now)
    assert open_flags_for(cast.access(cast.owner)) == []


def test_only_the_owner_writes_down_what_the_vet_said(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.farrier), now, "in_sole")
    for who in ("farrier", "vet", "carer"):
        with pytest.raises(PermissionDenied):
            _answer(cast, who, flag, now, kind="vet_phoned")
    _answer(cast, "owner", flag, now, kind="vet_phoned", words="Box rest, she comes at six.")
    assert not flag_is_open(Flag.objects.get())


def test_signs_that_are_mild_alone_rank_now_together(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner), now, "heat", "pulse", "reluctant_turn")
    assert flag.urgency == "now"


def test_an_answer_without_words_is_refused(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner), now)
    with pytest.raises(DeedRefused, match="Write a few words"):
        _answer(cast, "vet", flag, now, words="  ")


def test_a_flag_of_another_case_is_not_found(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner, cast.concern), now)
    with pytest.raises(Http404):
        _answer(cast, "vet", flag, now)


def test_a_scoped_answer_keeps_its_words_in_a_note_for_its_readers(
    cast: Cast, now: datetime
) -> None:
    flag = build.flag(cast.access(cast.owner), now)
    answer = _answer(
        cast, "vet", flag, now, words="Shoe sits wrong.", audience=frozenset({"vet", "farrier"})
    )
    assert answer.words == ""
    assert Note.objects.get().audience == ",farrier,vet,"
    team_lines = HistoryLine.objects.filter(audience__contains=",owner,")
    assert not any("Shoe sits wrong" in line.canonical for line in team_lines)
    told_owner = Notice.objects.filter(person=cast.owner)
    assert told_owner
    assert not any("Shoe sits wrong" in notice.body + notice.subject for notice in told_owner)


def test_a_scoped_answer_always_holds_the_writers_own_role(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner), now)
    with pytest.raises(DeedRefused, match="Your own side"):
        _answer(cast, "vet", flag, now, audience=frozenset({"farrier"}))
    assert not FlagAnswer.objects.exists()


def test_most_urgent_flags_come_first(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner)
    mild, now_flag, today = (
        build.flag(access, now, sign) for sign in ("crack", "in_sole", "lost_shoe")
    )
    assert open_flags_for(access) == [now_flag, today, mild]
