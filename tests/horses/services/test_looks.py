"""The daily look: who looked, alone or together, and taking it back."""

from datetime import datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from horses.models import Case, HistoryLine, Look, Membership, Notice, RowNeverChanges
from horses.services.deed import DeedRefused
from horses.services.horses import horse_create, horse_set_state
from horses.services.looks import UNDO_FOR, look_mark, look_undo, looks_mark, looks_undo
from tests import build
from tests.cast import Cast
from tests.horses.doors import last_line

pytestmark = pytest.mark.django_db
SECOND = timedelta(seconds=1)


def case_of(cast: Cast, name: str, at: datetime) -> Case:
    return Case.objects.get(horse=horse_create(person=cast.owner, fields={"name": name}, now=at))


def test_one_horse_is_marked_alone(cast: Cast, now: datetime) -> None:
    look = look_mark(access=cast.access(cast.carer), now=now)
    assert (look.horse, look.looked_by_name, look.together) == (cast.horse, "Cara Carer", 1)
    assert last_line(cast.case, "look.marked").after == {"together": 1}


def test_several_say_how_many_they_were(cast: Cast, now: datetime) -> None:
    cases = [cast.case, case_of(cast, "Acorn", now), case_of(cast, "Clover", now)]
    looks = looks_mark(accesses=[cast.access(cast.owner, c) for c in cases], now=now)
    assert [look.together for look in looks] == [3, 3, 3]
    assert len({look.press for look in looks}) == 1
    assert {look.horse.name for look in looks} == {"Juniper", "Acorn", "Clover"}


def test_a_horse_with_an_open_flag_is_left_out_and_not_counted(cast: Cast, now: datetime) -> None:
    acorn = case_of(cast, "Acorn", now)
    build.flag(cast.access(cast.owner, cast.concern), now)
    both = [cast.access(cast.owner), cast.access(cast.owner, acorn)]
    looks = looks_mark(accesses=both, now=now)
    assert [(look.horse.name, look.together) for look in looks] == [("Acorn", 1)]


def test_a_horse_with_an_open_flag_cannot_be_marked_alone(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner), now)
    with pytest.raises(DeedRefused, match="open flag"):
        look_mark(access=cast.access(cast.carer), now=now)
    assert not Look.objects.exists()


def test_a_flag_that_the_person_cannot_read_is_not_given_away(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner, cast.concern), now)
    Membership.objects.filter(case=cast.concern, person=cast.carer).delete()
    assert look_mark(access=cast.access(cast.carer), now=now).horse == cast.horse


def test_a_horse_whose_care_has_ended_is_not_looked_at(cast: Cast, now: datetime) -> None:
    horse_set_state(access=cast.access(cast.owner), state="ended", reason="Sold.", now=now)
    with pytest.raises(DeedRefused, match="has ended"):
        look_mark(access=cast.access(cast.owner), now=now)


def test_one_who_has_left_marks_none_of_the_others_either(cast: Cast, now: datetime) -> None:
    held = [cast.access(cast.owner), cast.access(cast.owner, case_of(cast, "Acorn", now))]
    Membership.objects.filter(case=cast.case, person=cast.owner).update(left_at=now)
    with pytest.raises(PermissionDenied):
        looks_mark(accesses=held, now=now)
    assert not Look.objects.exists()


def test_nobody_gets_a_notice_of_it(cast: Cast, now: datetime) -> None:
    before = Notice.objects.count()
    look_mark(access=cast.access(cast.carer), now=now)
    assert Notice.objects.count() == before


def test_the_same_press_sent_twice_marks_once(cast: Cast, now: datetime) -> None:
    accesses = [cast.access(cast.owner), cast.access(cast.owner, case_of(cast, "Acorn", now))]
    first = looks_mark(accesses=accesses, client_key="a screen", now=now)
    again = looks_mark(accesses=accesses, client_key="a screen", now=now + SECOND)
    assert {look.pk for look in again} == {look.pk for look in first}
    assert Look.objects.count() == 2


def test_taking_back_writes_a_new_row_and_keeps_the_first(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.carer)
    look = look_mark(access=access, now=now)
    undone = look_undo(access=access, look_id=look.public_id, now=now + UNDO_FOR)
    assert undone.takes_back == look
    assert not Look.objects.standing().exists()
    assert Look.objects.count() == 2
    assert last_line(cast.case, "look.undone").after == {"clock": "09:00", "together": 1}


def test_after_ten_minutes_it_stands(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.carer)
    look = look_mark(access=access, now=now)
    with pytest.raises(DeedRefused, match="ten minutes"):
        look_undo(access=access, look_id=look.public_id, now=now + UNDO_FOR + SECOND)
    assert Look.objects.standing().get() == look


def test_it_is_taken_back_once(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.carer)
    look = look_mark(access=access, now=now)
    look_undo(access=access, look_id=look.public_id, now=now)
    with pytest.raises(DeedRefused, match="already"):
        look_undo(access=access, look_id=look.public_id, now=now)


def test_nobody_takes_back_what_another_marked(cast: Cast, now: datetime) -> None:
    look = look_mark(access=cast.access(cast.carer), now=now)
    with pytest.raises(Http404):
        look_undo(access=cast.access(cast.owner), look_id=look.public_id, now=now)


def test_one_press_is_taken_back_as_a_whole(cast: Cast, now: datetime) -> None:
    accesses = [cast.access(cast.owner), cast.access(cast.owner, case_of(cast, "Acorn", now))]
    earlier = look_mark(access=accesses[0], now=now - timedelta(hours=1))
    press = looks_mark(accesses=accesses, now=now)[0].press
    assert looks_undo(accesses=accesses, press=press, now=now) == 2
    assert Look.objects.standing().get() == earlier


def test_a_look_is_never_changed(cast: Cast, now: datetime) -> None:
    look = look_mark(access=cast.access(cast.carer), now=now)
    look.together = 9
    with pytest.raises(RowNeverChanges):
        look.save()


def test_a_look_between_reading_and_issuing_does_not_hold_up_a_sheet(
    cast: Cast, now: datetime
) -> None:
    from horses.services.sheets import sheet_issue

    access = cast.access(cast.owner)
    seen = access.case.last_seq
    look_mark(access=cast.access(cast.carer), now=now)
    sheet = sheet_issue(access=access, content={"horse": "Juniper"}, seen_seq=seen, now=now)
    assert HistoryLine.objects.get(verb="sheet.issued").seq == sheet.history_seq
