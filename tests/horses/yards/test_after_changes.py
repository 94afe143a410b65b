"""The pages of the horses after somebody left the yard, and after a horse moved: on the next click."""

from datetime import datetime

import pytest
from django.test import Client
from django.urls import NoReverseMatch, reverse

from caseboard.export.person_copy import person_copy
from horses.accounts.services.people_admin import person_erase
from horses.jobs.outbox import jobs_run_due
from horses.models import Case, Membership, Notice, Person, YardInvitation, YardMember, YardRole
from horses.services.team import member_remove
from horses.services.yard_links import yard_link_make
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


def test_an_erased_person_has_no_place_and_no_address_at_a_yard(
    yard_cast: YardCast, now: datetime
) -> None:
    place, email = yard_cast.place(yard_cast.manager), yard_cast.groom.email
    yard_link_make(access=place, role=YardRole.CARER, email="asked@example.test", now=now)
    YardInvitation.objects.filter(email="asked@example.test").update(email=email)
    person_erase(person=yard_cast.groom, now=now)
    assert not YardMember.objects.filter(person=yard_cast.groom, ended_at=None).exists()
    assert not YardInvitation.objects.filter(email=email).exists()


def test_ones_own_copy_names_the_yards_one_has_a_place_at(
    yard_cast: YardCast, now: datetime
) -> None:
    [place] = person_copy(yard_cast.livery, now=now).parts["yards"]
    assert (place["yard"], place["role"], place["ended_at"]) == ("Quillmarsh", "owner", None)


def test_an_owner_is_asked_first_by_a_tap_on_the_teams_page(yard_cast: YardCast) -> None:
    client = Client()
    client.force_login(yard_cast.livery)
    team = reverse("team", args=[yard_cast.linnet.public_id])
    path = reverse("yard_asks", args=[yard_cast.linnet.public_id])
    assert "comes on the team of Linnet at once" in client.get(team).content.decode()
    assert client.post(path, {"first": "yes"})["Location"] == team
    assert "You are asked before anybody new" in client.get(team).content.decode()
    client.post(path, {"first": "no"})
    assert "comes on the team of Linnet at once" in client.get(team).content.decode()


def test_who_is_left_out_is_let_in_by_a_tap_on_the_teams_page(
    yard_cast: YardCast, now: datetime
) -> None:
    owner = yard_cast.access(yard_cast.livery, yard_cast.linnet)
    groom = Membership.objects.get(case=yard_cast.linnet, person=yard_cast.groom)
    member_remove(access=owner, membership_id=groom.public_id, now=now)
    client = Client()
    client.force_login(yard_cast.livery)
    team = reverse("team", args=[yard_cast.linnet.public_id])
    assert "Of the yard, left out" in client.get(team).content.decode()
    place = yard_cast.member(yard_cast.groom).public_id
    client.post(reverse("yard_let_in", args=[yard_cast.linnet.public_id, place]))
    assert "Of the yard, left out" not in client.get(team).content.decode()
