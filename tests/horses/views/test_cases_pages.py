"""Opening a case for a concern with the whole team, and closing it with its outcome."""

from datetime import datetime
from typing import Any

import pytest

from horses.models import Case, Note
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, last_line, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")

OTHERS = {"Vera Vet", "Finn Farrier", "Stina Standin", "Cara Carer"}


def opened(cast: Cast, who: str = "owner", **fields: Any) -> Any:
    given = {"title": "Right hind, abscess", "why": "Warm since Monday.", "client_key": "one"}
    return Door(cast.everyone[who], cast.case).post("case_open", **{**given, **fields})


def closed(cast: Cast, who: str = "owner", **fields: Any) -> Any:
    given = {"outcome": "met", "words": "Sound on the hard circle."}
    return Door(cast.everyone[who], cast.concern).post("case_close", **{**given, **fields})


# -- opening


@pytest.mark.parametrize("who", ["owner", "vet", "farrier", "stand_in"])
def test_a_case_is_opened_with_the_whole_team(cast: Cast, who: str) -> None:
    response = opened(cast, who)
    case = Case.objects.get(title="Right hind, abscess")
    assert response.status_code == 302
    assert response["Location"] == f"/cases/{case.public_id}/"
    before = set(cast.case.memberships.filter(left_at=None).values_list("person", "role"))
    assert set(case.memberships.values_list("person", "role")) == before
    assert last_line(case, "case.opened").actor == cast.everyone[who]


def test_why_is_its_first_note_and_everyone_else_is_told_once(cast: Cast) -> None:
    opened(cast)
    case = Case.objects.get(title="Right hind, abscess")
    note = Note.objects.get(case=case)
    assert (note.body, note.audience) == ("Warm since Monday.", ",owner,farrier,vet,carer,")
    assert verbs(case) == ["case.opened", "note.written"]
    assert told(case, "case.opened") == OTHERS
    assert told(case, "note.written") == set()


def test_without_a_why_there_is_no_note(cast: Cast) -> None:
    opened(cast, why="")
    assert not Note.objects.exists()


def test_the_page_says_who_comes_along(cast: Cast) -> None:
    page = text_of(Door(cast.vet, cast.case).get("case_open"))
    assert "Finn Farrier" in page
    assert "Remi Removed" not in page


def test_the_same_form_sent_twice_opens_one_case(cast: Cast) -> None:
    first, second = opened(cast), opened(cast)
    assert first["Location"] == second["Location"]
    assert Case.objects.filter(title="Right hind, abscess").count() == 1


def test_the_same_form_with_other_words_is_asked_about(cast: Cast) -> None:
    opened(cast)
    response = opened(cast, title="Left hind", why="Other story.")
    assert response.status_code == 409
    assert "Other story." in text_of(response)
    assert not Case.objects.filter(title="Left hind").exists()


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"title": ""}, "Please fill this in."),
        ({"title": "\x00"}, "Please fill this in."),
        ({"title": "x" * 1_000_000}, "there is room for 120"),
        ({"why": "y" * 5001}, "there is room for 5,000"),
    ],
)
def test_a_case_that_cannot_be_says_why(cast: Cast, fields: dict[str, str], says: str) -> None:
    before = Case.objects.count()
    response = opened(cast, **{"why": "Kept words.", **fields})
    assert response.status_code == 422
    assert says in text_of(response)
    assert "Kept words." in text_of(response) or "why" in fields
    assert Case.objects.count() == before


def test_a_carer_opens_no_case(cast: Cast) -> None:
    assert Door(cast.carer, cast.case).get("case_open").status_code == 403
    assert opened(cast, "carer").status_code == 403


def test_no_case_is_opened_from_a_closed_one(cast: Cast, now: datetime) -> None:
    """Its team may hold people who have been removed from the horse since."""
    shut(cast.concern, now)
    response = Door(cast.vet, cast.concern).post("case_open", title="Again")
    assert response.status_code == 403


# -- closing


@pytest.mark.parametrize("who", ["owner", "vet"])
def test_a_case_is_closed_with_its_outcome(cast: Cast, who: str) -> None:
    assert closed(cast, who).status_code == 302
    case = Case.objects.get(pk=cast.concern.pk)
    assert case.closed_at is not None
    assert (case.outcome, case.outcome_words) == ("met", "Sound on the hard circle.")
    assert last_line(case, "case.closed").actor == cast.everyone[who]
    assert told(case, "case.closed") == (OTHERS | {"Ola Owner"}) - {str(cast.everyone[who])}


def test_what_is_still_open_is_named_first(cast: Cast, now: datetime) -> None:
    build.flag(cast.access(cast.owner, cast.concern), now, "in_sole")
    build.plan_item(cast.access(cast.vet, cast.concern), now, text="Poultice twice a day.")
    page = text_of(Door(cast.owner, cast.concern).get("case_close"))
    assert "Still open on this case" in page
    assert "urgent, no answer from a vet yet" in page
    assert "Plan item 1, not agreed yet: Poultice twice a day." in page


def test_the_standing_case_is_not_closed_but_paused(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    page = text_of(door.get("case_close"))
    assert door.address("horse_state") in page
    assert "<textarea" not in page
    response = door.post("case_close", outcome="met", words="Done.")
    assert response.status_code == 422
    assert "The standing case stays open." in text_of(response)
    assert Case.objects.get(pk=cast.case.pk).is_open


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"outcome": ""}, "Please choose how it ended."),
        ({"outcome": "won"}, "Please choose one of these."),
        ({"words": ""}, "Please say in a few words how it ended."),
        ({"words": " \x00\n "}, "Please say in a few words how it ended."),
        ({"words": "x" * 5001}, "there is room for 5,000"),
    ],
)
def test_a_closing_that_cannot_be_says_why(cast: Cast, fields: dict[str, str], says: str) -> None:
    response = closed(cast, **fields)
    page = text_of(response)
    assert response.status_code == 422
    assert says in page
    assert "Sound on the hard circle." in page or "words" in fields
    assert Case.objects.get(pk=cast.concern.pk).is_open


@pytest.mark.parametrize("who", ["farrier", "stand_in", "carer"])
def test_others_do_not_close_a_case(cast: Cast, who: str) -> None:
    assert Door(cast.everyone[who], cast.concern).get("case_close").status_code == 403
    assert closed(cast, who).status_code == 403


def test_a_closed_case_is_not_closed_again(cast: Cast) -> None:
    closed(cast)
    response = closed(cast, words="Other words.")
    assert response.status_code == 409
    assert "The case is closed." in text_of(response)
    assert "Other words." in text_of(response)
    assert Case.objects.get(pk=cast.concern.pk).outcome_words != "Other words."


# -- both


@pytest.mark.parametrize("page", ["case_open", "case_close"])
@pytest.mark.parametrize("who", ["stranger", "removed", "other_vet", "staff"])
def test_strangers_find_nothing_there(cast: Cast, page: str, who: str) -> None:
    door = Door(cast.everyone[who], cast.case)
    assert door.get(page).status_code == 404
    assert door.post(page, title="Mine", outcome="met", words="Mine").status_code == 404


@pytest.mark.parametrize("page", ["case_open", "case_close"])
def test_the_pages_are_read_and_sent_in_no_other_way(cast: Cast, page: str) -> None:
    door = Door(cast.owner, cast.case)
    assert door.client.put(door.address(page)).status_code == 405
