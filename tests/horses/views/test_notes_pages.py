"""Notes: for the whole team or part of it, said before saving; corrected by a later one."""

import re
from datetime import datetime

import pytest
from django.http import HttpResponse

from horses.models import Note
from horses.services.deed import DeedRefused
from horses.services.notes import note_write
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, last_line, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")

TEAM = "owner,farrier,vet,carer"


def write(cast: Cast, who: str, **fields: str) -> HttpResponse:
    sent = {"body": "Films on Monday.", "audience": TEAM, **fields}
    return Door(getattr(cast, who), cast.case).post("note_new", **sent)


def test_a_note_to_the_whole_team_is_saved(cast: Cast) -> None:
    response = write(cast, "vet")
    assert response.status_code == 302
    note = Note.objects.get()
    assert (note.body, note.audience) == ("Films on Monday.", ",owner,farrier,vet,carer,")
    assert "note.written" in verbs(cast.case)
    assert told(cast.case, "note.written") == {
        "Ola Owner",
        "Finn Farrier",
        "Stina Standin",
        "Cara Carer",
    }


def test_a_note_for_part_of_the_team_goes_to_that_part(cast: Cast) -> None:
    write(cast, "vet", audience="farrier,vet")
    assert last_line(cast.case, "note.written").audience == ",farrier,vet,"
    assert told(cast.case, "note.written") == {"Finn Farrier", "Stina Standin"}


def test_each_set_of_readers_says_in_words_who_that_is(cast: Cast) -> None:
    page = text_of(Door(cast.owner, cast.case).get("note_new"))
    assert (
        "Will be read by: Ola Owner (owner) and Vera Vet (vet). Not the farrier or carer." in page
    )


@pytest.mark.parametrize("who", ["owner", "farrier", "vet"])
def test_every_set_offered_holds_the_writers_own_role(cast: Cast, who: str) -> None:
    page = text_of(Door(getattr(cast, who), cast.case).get("note_new"))
    values = re.findall(r'name="audience" value="([^"]+)"', page)
    assert len(values) > 3
    assert all(who in value.split(",") for value in values)


def test_leaving_out_ones_own_side_comes_back(cast: Cast) -> None:
    response = write(cast, "vet", audience="owner,farrier")
    assert response.status_code == 422
    assert not Note.objects.exists()


def test_the_service_says_why_ones_own_side_always_reads(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused, match="Your own side"):
        note_write(access=cast.access(cast.vet), body="x", audience=frozenset({"owner"}), now=now)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"body": " "}, "Please fill this in."),
        ({"body": "x" * 5001}, "5,001 characters"),
        ({"audience": ""}, "Choose who may read it"),
        ({"audience": "nobody"}, "Choose who may read it"),
    ],
)
def test_what_cannot_be_saved_comes_back_as_typed(
    cast: Cast, fields: dict[str, str], words: str
) -> None:
    response = write(cast, "vet", **{"body": "Kept words", **fields})
    assert response.status_code == 422
    page = text_of(response)
    assert words in page
    assert fields.get("body", "Kept words") in page


def test_a_megabyte_comes_back_without_an_error(cast: Cast) -> None:
    response = write(cast, "vet", body="m" * 1_000_000)
    assert response.status_code == 422


def test_the_same_note_sent_twice_is_one(cast: Cast) -> None:
    for _ in range(2):
        write(cast, "vet", client_key="k")
    assert Note.objects.count() == 1


def test_the_same_key_with_other_words_comes_back_with_them(cast: Cast) -> None:
    write(cast, "vet", client_key="k")
    response = write(cast, "vet", client_key="k", body="Other words")
    assert response.status_code == 409
    assert "Other words" in text_of(response)


def test_a_carer_writes_to_the_whole_team_and_to_no_part_of_it(cast: Cast, now: datetime) -> None:
    door = Door(cast.carer, cast.case)
    page = text_of(door.get("note_new"))
    assert "The whole team" in page
    assert "only<small>" not in page
    assert door.post("note_new", body="Ate well.", audience=TEAM).status_code == 302
    assert door.post("note_new", body="Psst.", audience="owner,carer").status_code == 422
    assert [note.body for note in Note.objects.all()] == ["Ate well."]
    with pytest.raises(DeedRefused, match="whole team"):
        build.note(cast.access(cast.carer), now, audience=("owner", "carer"))


def test_a_stranger_learns_nothing(cast: Cast) -> None:
    assert Door(cast.stranger, cast.case).get("note_new").status_code == 404
    door = Door(cast.vet, cast.case)
    assert door.client.delete(door.address("note_new")).status_code == 405


# -- corrections


@pytest.fixture
def note(cast: Cast, now: datetime) -> Note:
    return build.note(cast.access(cast.vet), now, "Left hind.", audience=("vet", "farrier"))


def test_a_correction_shows_the_old_words_and_starts_from_them(cast: Cast, note: Note) -> None:
    page = text_of(Door(cast.vet, cast.case).get("note_new", corrects=note.public_id))
    assert page.count("Left hind.") == 2
    assert "Read by farrier and vet only." in page


def test_a_correction_is_offered_the_same_readers_or_more(cast: Cast, note: Note) -> None:
    page = text_of(Door(cast.vet, cast.case).get("note_new", corrects=note.public_id))
    offered = re.findall(r'name="audience" value="([^"]+)"', page)
    assert len(offered) > 1
    assert all({"farrier", "vet"} <= set(readers.split(",")) for readers in offered)


def test_a_correction_is_a_later_note_that_names_the_first(cast: Cast, note: Note) -> None:
    response = Door(cast.vet, cast.case).post(
        "note_new", query=f"corrects={note.public_id}", body="Left fore.", audience="farrier,vet"
    )
    assert response.status_code == 302
    later = Note.objects.get(corrects=note)
    assert later.body == "Left fore."
    assert "note.corrected" in verbs(cast.case)


def test_a_correction_may_go_to_more_readers_but_never_to_fewer(cast: Cast, note: Note) -> None:
    door = Door(cast.vet, cast.case)
    for audience, status in [("vet", 422), ("owner,vet", 422), ("owner,farrier,vet", 302)]:
        response = door.post(
            "note_new", query=f"corrects={note.public_id}", body="Fore.", audience=audience
        )
        assert response.status_code == status, audience
        if status == 422:
            assert "at least the same readers" in text_of(response)


def test_the_service_refuses_fewer_readers_for_a_correction(
    cast: Cast, note: Note, now: datetime
) -> None:
    with pytest.raises(DeedRefused, match="at least the same readers"):
        note_write(
            access=cast.access(cast.vet),
            body="x",
            audience=frozenset({"vet"}),
            corrects_id=note.public_id,
            now=now,
        )


def test_a_set_of_readers_that_is_no_longer_offered_can_be_kept(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.vet)
    note = build.note(access, now, "Old.", audience=("vet", "carer"))
    page = text_of(Door(cast.vet, cast.case).get("note_new", corrects=note.public_id))
    assert "Vet and carer only" in page


def test_only_ones_own_notes_are_corrected(cast: Cast, note: Note) -> None:
    for who in (cast.farrier, cast.owner):
        door = Door(who, cast.case)
        assert door.get("note_new", corrects=note.public_id).status_code == 404
        response = door.post("note_new", query=f"corrects={note.public_id}", body="x")
        assert response.status_code == 404
    assert Door(cast.vet, cast.concern).get("note_new", corrects=note.public_id).status_code == 404
    assert Door(cast.vet, cast.case).get("note_new", corrects="x\x00").status_code == 404


# -- the same words for other readers


def test_a_note_is_written_again_for_more_readers_as_a_new_one(cast: Cast, now: datetime) -> None:
    first = build.note(cast.access(cast.vet), now, "Films on Monday.", {"vet", "farrier"})
    door = Door(cast.vet, cast.case)
    page = text_of(door.get("note_new", again=first.public_id))
    assert "Films on Monday." in page.split("<textarea")[1]
    assert "nobody can be made to forget" in page
    assert "checked" not in page.split('name="audience"', 1)[1].split("</fieldset>")[0]
    sent = door.post(
        "note_new", query=f"again={first.public_id}", body="Films on Monday.", audience=TEAM
    )
    assert sent.status_code == 302
    new = Note.objects.get(corrects=None, audience=",owner,farrier,vet,carer,")
    first.refresh_from_db()
    assert (first.audience, new.corrects) == (",farrier,vet,", None)


def test_only_ones_own_note_is_written_again(cast: Cast, now: datetime) -> None:
    note = build.note(cast.access(cast.vet), now)
    assert Door(cast.owner, cast.case).get("note_new", again=note.public_id).status_code == 404


def test_the_board_leads_to_both_from_ones_own_note_only(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now)
    assert "Write it again for other readers" in text_of(Door(cast.vet, cast.case).get("board"))
    assert "Write it again" not in text_of(Door(cast.owner, cast.case).get("board"))
