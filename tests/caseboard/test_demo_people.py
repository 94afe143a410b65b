"""The demo's people: what waits for each, what they were told, and what they do not see."""

from datetime import timedelta

import pytest
from django.conf import settings

from caseboard.demo.people import WHO
from caseboard.lib.mailbox import mailbox_list
from horses.access import access_get, cases_for
from horses.ledger.verify import broken_lines
from horses.models import (
    Case,
    HistoryLine,
    Job,
    Note,
    Notice,
)
from horses.notices.create import unread_count
from horses.queries.board import alerts_for, notes_for, open_flags_for
from horses.queries.plan_lines import plan_for
from tests.caseboard.demo_told import NOW, access, person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


@pytest.mark.parametrize("key", list(WHO))
def test_something_waits_for_everybody(key: str) -> None:
    who = person(key)
    boards = [access_get(who, case.public_id) for case in cases_for(who)]
    waiting = [
        *(alert for board in boards for alert in alerts_for(board) if alert.weight == "alert"),
        *(flag for board in boards for flag in open_flags_for(board)),
        *(line for board in boards for line in plan_for(board) if line.my_word_missing),
    ]
    assert waiting


@pytest.mark.parametrize("key", list(WHO))
def test_everybody_has_a_few_recent_notices_to_read(key: str) -> None:
    assert 2 <= unread_count(person(key)) <= 6
    unread = Notice.objects.filter(person=person(key), channel="app", read_at=None)
    assert min(notice.created_at for notice in unread) > NOW - timedelta(days=14)


def test_no_mail_of_the_past_waits_or_was_sent() -> None:
    # Only the stand-in of today's lost shoe will be asked yet.
    waits = list(Job.objects.values_list("kind", "due_at"))
    assert [(kind, due > NOW) for kind, due in waits] == [("shoe.stand_in", True)]
    assert not Notice.objects.filter(state="pending").exists()
    assert mailbox_list(settings.MAILBOX_DIR) == []


def test_every_history_is_whole_and_in_order() -> None:
    for case in Case.objects.all():
        assert list(broken_lines(case)) == []
        moments = list(HistoryLine.objects.filter(case=case).values_list("at", flat=True))
        back = [late for early, late in zip(moments, moments[1:], strict=False) if late < early]
        assert (case.horse.name, case.title, back) == (case.horse.name, case.title, [])
        assert moments[-1] <= NOW


def test_the_owner_of_one_horse_sees_only_that_one() -> None:
    assert {case.horse.name for case in cases_for(person("owner"))} == {"Fennel"}


def test_the_second_vet_is_on_one_case_only() -> None:
    (case,) = cases_for(person("second_vet"))
    assert (case.horse.name, case.kind) == ("Marigold", "concern")


def test_the_stand_in_sees_the_horses_she_stands_in_for() -> None:
    assert {case.horse.name for case in cases_for(person("stand_in"))} == {
        "Hazel",
        "Otter",
        "Fennel",
    }


@pytest.mark.parametrize(
    ("horse", "kind", "key", "reads"),
    [
        ("Marigold", "concern", "farrier", True),
        ("Marigold", "concern", "vet", True),
        ("Marigold", "concern", "manager", False),
        ("Marigold", "concern", "groom", False),
        ("Hazel", "routine", "manager", True),
        ("Hazel", "routine", "vet", True),
        ("Hazel", "routine", "farrier", False),
        ("Hazel", "routine", "stand_in", False),
        ("Hazel", "routine", "groom", False),
    ],
)
def test_a_note_for_some_is_read_by_those_only(
    horse: str, kind: str, key: str, reads: bool
) -> None:
    notes = Note.objects.filter(case__horse__name=horse, case__kind=kind)
    (narrow,) = [note for note in notes if len(note.audience_roles) < 4]
    assert (narrow in notes_for(access(key, horse, kind))) is reads
    told = Notice.objects.filter(event=f"note.written:{narrow.public_id}", person=person(key))
    assert reads or not told.exists()
