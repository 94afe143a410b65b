"""Looking at the board as another role: to look only, and never more than one sees oneself."""

from datetime import datetime

import pytest
from django.core.exceptions import PermissionDenied

from horses.access import POLICY, looking_as, may, require
from horses.models import Role
from horses.queries.board import history_for, notes_for
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]

NOTES = {
    "For the two of us.": ("owner", {"owner", "vet"}),
    "Between owner and farrier.": ("owner", {"owner", "farrier"}),
    "Between vet and farrier.": ("vet", {"vet", "farrier"}),
    "For everybody.": ("vet", set(build.TEAM)),
}


@pytest.fixture
def notes(cast: Cast, now: datetime) -> None:
    for body, (who, readers) in NOTES.items():
        build.note(cast.access(getattr(cast, who)), now, body, readers)


def test_the_owner_sees_what_the_farrier_sees_of_what_the_owner_may_see(
    cast: Cast, notes: None
) -> None:
    page = text_of(Door(cast.owner, cast.case).get("look_as", "farrier"))
    board = page.split('<div class="board">')[1]
    assert "Between owner and farrier." in board
    assert "For everybody." in board
    assert "For the two of us." not in board
    assert "Between vet and farrier." not in page
    assert "1 note that you read is not for the farrier" in page
    assert "For the two of us." in page.split('<div class="board">')[0]


def test_nothing_can_be_pressed(cast: Cast, notes: None) -> None:
    page = text_of(Door(cast.owner, cast.case).get("look_as", "farrier"))
    main = page.split("<main")[1].split("</main>")[0]
    assert "<form" not in main
    assert "<button" not in main
    assert "hx-get" not in main
    for name in ("flag_new", "note_new", "visit_new", "plan_new"):
        assert Door(cast.owner, cast.case).address(name) not in main


def test_an_access_that_only_looks_may_do_nothing(cast: Cast) -> None:
    for role in Role:
        looking = looking_as(cast.access(cast.owner), role)
        assert not any(may(looking, action) for action in POLICY)
        for action in POLICY:
            with pytest.raises(PermissionDenied):
                require(looking, action)


def test_no_role_shows_more_than_the_owner_reads(cast: Cast, notes: None) -> None:
    own = cast.access(cast.owner)
    for role in Role:
        looking = looking_as(own, role)
        assert set(notes_for(looking)) <= set(notes_for(own))
        assert set(history_for(looking)) <= set(history_for(own))


def test_what_is_shown_is_what_the_other_would_see_too(cast: Cast, notes: None) -> None:
    looking = looking_as(cast.access(cast.owner), Role.FARRIER)
    assert set(notes_for(looking)) < set(notes_for(cast.access(cast.farrier)))


@pytest.mark.parametrize("who", ["farrier", "vet", "carer"])
def test_the_others_look_as_their_own_role_only(who: str, cast: Cast, notes: None) -> None:
    door = Door(getattr(cast, who), cast.case)
    for role in Role:
        expected = 200 if role == who else 403
        assert door.get("look_as", role).status_code == expected


def test_a_closed_board_can_still_be_looked_at(cast: Cast, now: datetime) -> None:
    shut(cast.concern, now)
    assert Door(cast.owner, cast.concern).get("look_as", "vet").status_code == 200


def test_an_unknown_role_and_a_stranger_find_nothing(cast: Cast) -> None:
    assert Door(cast.owner, cast.case).get("look_as", "king").status_code == 404
    for who in (cast.stranger, cast.removed):
        assert Door(who, cast.case).get("look_as", "vet").status_code == 404
