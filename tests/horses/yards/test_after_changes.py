"""The pages of the horses after somebody left the yard, and after a horse moved: on the next click."""

from datetime import datetime

import pytest
from django.test import Client
from django.urls import NoReverseMatch, reverse

from horses.jobs.outbox import jobs_run_due
from horses.models import Case, Membership, Notice, Person, YardRole
from horses.services.yard_members import yard_member_end
from tests import build
from tests.access.table import CASE_ROWS
from tests.cast import person
from tests.yards import YardCast, joined, moved

pytestmark = pytest.mark.django_db
SLOW = {"sheet_pdf", "blank_pdf", "sheet_issue"}


@pytest.fixture(autouse=True)
def _clock_stands(clock_stands: datetime) -> None:
    """The pages live in the moment in which the yard was set."""


def opens(who: Person, case: Case) -> set[str]:
    """The pages of the case, without another id, that are there for this person."""
    client = Client(raise_request_exception=False)
    client.force_login(who)
    found = set()
    for name, row in CASE_ROWS.items():
        if "GET" not in row.methods.split() or name in SLOW:
            continue
        try:
            path = reverse(name, args=[case.public_id])
        except NoReverseMatch:  # another id is needed
            continue
        if client.get(path).status_code != 404:
            found.add(name)
    return found


def test_a_manager_who_left_finds_no_page_of_any_horse(yard_cast: YardCast, now: datetime) -> None:
    second = person("Sev Second")
    joined(yard_cast.place(yard_cast.manager), second, YardRole.MANAGER, now)
    assert "board" in opens(yard_cast.manager, yard_cast.pebble)
    place = yard_cast.place(yard_cast.manager)
    yard_member_end(access=place, member_id=place.member.public_id, now=now)
    for case in (yard_cast.pebble, yard_cast.linnet):
        assert opens(yard_cast.manager, case) == set()
    assert "team" in opens(second, yard_cast.pebble)
    client = Client()
    client.force_login(yard_cast.manager)
    assert client.get(reverse("yard", args=[yard_cast.yard.public_id])).status_code == 404


def test_after_a_move_the_old_yard_finds_nothing_and_the_new_one_its_part(
    yard_cast: YardCast, now: datetime
) -> None:
    there = yard_cast.other_yard
    joined(yard_cast.place(yard_cast.other_manager, there), yard_cast.livery, YardRole.OWNER, now)
    assert opens(yard_cast.other_manager, yard_cast.linnet) == set()
    moved(yard_cast.access(yard_cast.livery, yard_cast.linnet), there, now)
    for who in (yard_cast.manager, yard_cast.farrier, yard_cast.vet, yard_cast.groom):
        assert opens(who, yard_cast.linnet) == set()
    assert "board" in opens(yard_cast.other_manager, yard_cast.linnet)
    assert "board" in opens(yard_cast.livery, yard_cast.linnet)


def test_what_is_written_after_a_move_is_mailed_to_nobody_of_the_old_yard(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    build.note(owner, now, "CANARY before, still waiting to be mailed")
    moved(owner, None, now)
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    build.note(owner, now, "CANARY after")
    while jobs_run_due(now=now):
        pass
    old = [yard_cast.manager, yard_cast.farrier, yard_cast.vet, yard_cast.groom]
    told = Notice.objects.filter(person__in=old, case=yard_cast.linnet, verb="note.written")
    assert not told.filter(channel="mail", state="sent").exists()
    client = Client()
    client.force_login(yard_cast.farrier)
    assert "CANARY" not in client.get(reverse("notices")).content.decode()


def test_who_left_keeps_a_copy_of_what_they_recorded_and_of_nothing_else(
    yard_cast: YardCast, now: datetime
) -> None:
    build.note(yard_cast.access(yard_cast.vet, yard_cast.linnet), now, "OWN words of the vet")
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    build.note(owner, now, "CANARY of the owner")
    moved(owner, None, now)
    assert not Membership.objects.filter(
        person=yard_cast.vet, case=yard_cast.linnet, left_at=None
    ).exists()
    client = Client()
    client.force_login(yard_cast.vet)
    assert "Linnet" in client.get(reverse("former_cases")).content.decode()
