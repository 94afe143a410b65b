"""Handing over from one vet or farrier to another: all seen before, all done at once."""

from datetime import datetime, timedelta

import pytest
from django.http import Http404

from horses.access import access_get
from horses.models import Invitation, Membership, Role
from horses.queries.board import notes_for
from horses.services.deed import DeedRefused
from horses.services.handover import hand_over
from horses.services.invitations import invitation_accept, token_for
from horses.services.visit_planning import visit_plan
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of, verbs

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]


def place(cast: Cast, who: str) -> Membership:
    return Membership.objects.get(case=cast.case, person=getattr(cast, who), left_at=None)


def test_the_page_names_what_is_left_open_and_what_will_be_seen(cast: Cast, now: datetime) -> None:
    farrier, vet = cast.access(cast.farrier), cast.access(cast.vet)
    visit_plan(access=farrier, on=(now + timedelta(days=9)).date(), now=now)
    build.plan_item(vet, now, text="Frog pads.", kind="shoe", who_does="farrier")
    build.note(cast.access(cast.owner), now, "Just us.", {"owner", "farrier"})
    page = text_of(Door(cast.owner, cast.case).get("hand_over", place(cast, "farrier").public_id))
    assert "The visit planned for Wed 11 Nov 2026" in page
    assert "the farrier's job: Frog pads." in page
    assert "waits for the farrier's answer" in page
    assert "also 1 that only a part of the team reads" in page


def test_the_newcomer_is_asked_on_the_boards_that_were_ticked(cast: Cast, now: datetime) -> None:
    sent = Door(cast.owner, cast.case).post(
        "hand_over",
        place(cast, "farrier").public_id,
        email=cast.invited.email,
        boards=[cast.case.public_id, cast.concern.public_id],
        goes="now",
    )
    assert sent.status_code == 302
    asked = Invitation.objects.filter(revoked_at=None, email=cast.invited.email)
    assert {i.case for i in asked} == {cast.case, cast.concern}
    assert {i.role for i in asked} == {"farrier"}
    assert not Membership.objects.filter(person=cast.farrier, left_at=None).exists()
    assert verbs(cast.concern)[-3:] == ["team.invited", "team.hand_over", "team.removed"]


def test_the_other_one_may_stay_for_a_while(cast: Cast, now: datetime) -> None:
    Door(cast.owner, cast.case).post(
        "hand_over",
        place(cast, "vet").public_id,
        email="new.vet@example.test",
        boards=[cast.case.public_id],
        goes="later",
    )
    assert Invitation.objects.get(email="new.vet@example.test").case == cast.case
    assert place(cast, "vet").left_at is None


def test_the_newcomer_reads_the_case_from_its_start_and_the_notes_for_the_role(
    cast: Cast, now: datetime
) -> None:
    owner = cast.access(cast.owner)
    build.note(owner, now, "To the farrier.", {"owner", "farrier"})
    build.note(owner, now, "To the vet.", {"owner", "vet"})
    [asked] = hand_over(
        access=owner,
        membership_id=place(cast, "farrier").public_id,
        email=cast.invited.email,
        board_ids=[cast.case.public_id],
        leaves_now=True,
        now=now,
    )
    invitation_accept(person=cast.invited, token=token_for(asked.public_id), now=now)
    newcomer = access_get(cast.invited, cast.case.public_id)
    assert newcomer.role == Role.FARRIER
    assert [note.body for note in notes_for(newcomer)] == ["To the farrier."]


def test_nothing_is_done_when_the_address_is_on_the_team_already(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused):
        hand_over(
            access=cast.access(cast.owner),
            membership_id=place(cast, "farrier").public_id,
            email=cast.vet.email,
            board_ids=[cast.case.public_id],
            leaves_now=True,
            now=now,
        )
    assert place(cast, "farrier").left_at is None
    assert not Invitation.objects.exists()


def test_only_a_vets_or_farriers_place_is_handed_over(cast: Cast, now: datetime) -> None:
    for who in ("owner", "carer"):
        with pytest.raises(Http404):
            hand_over(
                access=cast.access(cast.owner),
                membership_id=place(cast, who).public_id,
                email="new@example.test",
                board_ids=[cast.case.public_id],
                leaves_now=False,
                now=now,
            )


def test_a_board_of_another_horse_is_no_choice(cast: Cast) -> None:
    sent = Door(cast.owner, cast.case).post(
        "hand_over",
        place(cast, "vet").public_id,
        email="new@example.test",
        boards=[cast.other_case.public_id],
        goes="now",
    )
    assert sent.status_code == 422
    assert not Invitation.objects.exists()
