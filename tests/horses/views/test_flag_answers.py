"""The answers of the others to a flag, and who reads their words."""

from datetime import datetime
from typing import Any

import pytest
from django.http import HttpResponse

from horses.models import Flag, FlagAnswer, Note
from horses.services.flags import flag_answer
from horses.services.notes import note_write
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, last_line, shut, text_of, told

pytestmark = pytest.mark.usefixtures("clock_stands")

TEAM = "owner,farrier,vet,carer"


def answer(cast: Cast, who: str, flag: Flag, **fields: Any) -> HttpResponse:
    sent: dict[str, Any] = {
        "kind": "answered",
        "words": "I will look on Tuesday.",
        "audience": TEAM,
        **fields,
    }
    door = Door(getattr(cast, who), cast.case)
    return door.post("flag", flag.public_id, **sent)


def test_an_answer_is_saved_and_closes_the_flag(cast: Cast, flag: Flag) -> None:
    answer(cast, "farrier", flag)
    saved = FlagAnswer.objects.get()
    assert saved.closes
    assert saved.words == "I will look on Tuesday."
    page = text_of(Door(cast.owner, cast.case).get("flag", flag.public_id))
    assert "Finn Farrier (farrier)" in page
    assert "I will look on Tuesday." in page
    assert "Answered." in page


def test_a_flag_that_is_answered_folds_its_forms_away(cast: Cast, flag: Flag) -> None:
    assert "<summary>Add another answer" not in text_of(
        Door(cast.vet, cast.case).get("flag", flag.public_id)
    )
    answer(cast, "farrier", flag)
    assert "<summary>Add another answer" in text_of(
        Door(cast.vet, cast.case).get("flag", flag.public_id)
    )


def test_an_answer_is_in_the_history_and_the_others_are_told(cast: Cast, flag: Flag) -> None:
    answer(cast, "farrier", flag)
    assert last_line(cast.case, "flag.answered").after == {
        "kind": "answered",
        "words": "I will look on Tuesday.",
        "closes": True,
    }
    assert "Ola Owner" in told(cast.case, "flag.answered")
    assert "Finn Farrier" not in told(cast.case, "flag.answered")


def test_the_owners_own_answer_leaves_it_open(cast: Cast, flag: Flag) -> None:
    answer(cast, "owner", flag)
    assert not FlagAnswer.objects.get().closes


def test_a_farriers_answer_leaves_an_urgent_flag_open(cast: Cast, urgent: Flag) -> None:
    answer(cast, "farrier", urgent)
    assert not FlagAnswer.objects.get().closes


def test_what_the_vet_said_on_the_phone_closes_an_urgent_flag(cast: Cast, urgent: Flag) -> None:
    response = Door(cast.owner, cast.case).post(
        "flag", urgent.public_id, kind="vet_phoned", words="Coming at six. Leave it in."
    )
    assert response.status_code == 302
    assert FlagAnswer.objects.get().closes
    page = text_of(Door(cast.owner, cast.case).get("flag", urgent.public_id))
    assert "wrote down what the vet said on the phone" in page
    assert 'class="call"' not in page


def test_only_the_owner_writes_down_the_phone_call(cast: Cast, urgent: Flag) -> None:
    for who in (cast.farrier, cast.vet, cast.carer):
        response = Door(who, cast.case).post("flag", urgent.public_id, kind="vet_phoned", words="x")
        assert response.status_code == 403


def test_a_carer_reads_but_does_not_answer(cast: Cast, flag: Flag) -> None:
    door = Door(cast.carer, cast.case)
    assert "Save the answer" not in text_of(door.get("flag", flag.public_id))
    assert door.post("flag", flag.public_id, kind="answered", words="x").status_code == 403


def test_an_answer_without_words_comes_back(cast: Cast, flag: Flag) -> None:
    response = Door(cast.vet, cast.case).post(
        "flag", flag.public_id, kind="answered", words=" ", audience=TEAM
    )
    assert response.status_code == 422
    assert "Please fill this in." in text_of(response)


@pytest.mark.parametrize("audience", ["", "owner", "everyone", "vet,stranger", ","])
def test_a_set_of_readers_that_is_not_offered_comes_back(
    cast: Cast, flag: Flag, audience: str
) -> None:
    response = Door(cast.vet, cast.case).post(
        "flag", flag.public_id, kind="answered", words="Kept words", audience=audience
    )
    assert response.status_code == 422
    assert "Choose who may read it" in text_of(response)
    assert "Kept words" in text_of(response)
    assert not FlagAnswer.objects.exists()


def test_an_unknown_kind_of_answer_comes_back(cast: Cast, flag: Flag) -> None:
    response = Door(cast.vet, cast.case).post(
        "flag", flag.public_id, kind="shouted", words="Kept words", audience=TEAM
    )
    assert response.status_code == 422
    assert "no kind of answer" in text_of(response)


def test_an_answer_sent_twice_is_one(cast: Cast, flag: Flag) -> None:
    for _ in range(2):
        answer(cast, "vet", flag, client_key="twice")
    assert FlagAnswer.objects.count() == 1


def test_an_answer_key_with_other_words_comes_back_with_them(cast: Cast, flag: Flag) -> None:
    answer(cast, "vet", flag, client_key="twice")
    sent = {"kind": "answered", "words": "Other words", "audience": TEAM, "client_key": "twice"}
    response = Door(cast.vet, cast.case).post("flag", flag.public_id, **sent)
    assert response.status_code == 409
    assert "Other words" in text_of(response)


def test_each_choice_says_who_will_read_it(cast: Cast, flag: Flag) -> None:
    page = text_of(Door(cast.vet, cast.case).get("flag", flag.public_id))
    assert (
        "Will be read by: Finn Farrier (farrier), Stina Standin (farrier) and Vera Vet (vet). "
        "Not the owner or carer."
    ) in page


def test_a_scoped_answer_is_read_by_its_readers_only(cast: Cast, flag: Flag, now: datetime) -> None:
    answer(cast, "vet", flag, audience="farrier,vet", words="CANARY-scoped")
    assert Note.objects.get().audience == ",farrier,vet,"
    readers = {"vet": True, "farrier": True, "stand_in": True, "owner": False, "carer": False}
    for who, reads in readers.items():
        page = text_of(Door(getattr(cast, who), cast.case).get("flag", flag.public_id))
        assert ("CANARY-scoped" in page) is reads, who
        assert "Vera Vet (vet)" in page  # that it was answered, everybody reads
    page = text_of(Door(cast.owner, cast.case).get("flag", flag.public_id))
    assert "The words are for a part of the team." in page


def test_the_words_of_a_scoped_answer_are_in_no_notice_outside_it(cast: Cast, flag: Flag) -> None:
    from horses.models import Notice

    answer(cast, "vet", flag, audience="farrier,vet", words="CANARY-scoped")
    heard = Notice.objects.filter(body__contains="CANARY").values_list("person__name", flat=True)
    assert set(heard) == {"Finn Farrier", "Stina Standin"}


def test_a_correction_of_a_scoped_answer_is_shown_to_its_readers(
    cast: Cast, flag: Flag, now: datetime
) -> None:
    vet = cast.access(cast.vet)
    pair = frozenset({"vet", "farrier"})
    first = flag_answer(
        access=vet, flag_id=flag.public_id, words="Left hind.", audience=pair, now=now
    )
    assert first.note is not None
    note_write(
        access=vet,
        body="Left fore, I meant.",
        audience=pair,
        corrects_id=first.note.public_id,
        now=now,
    )
    page = text_of(Door(cast.farrier, cast.case).get("flag", flag.public_id))
    assert '<p class="words struck">Left hind.</p>' in page
    assert "Left fore, I meant." in page
    assert "Left fore, I meant." not in text_of(
        Door(cast.owner, cast.case).get("flag", flag.public_id)
    )


def test_hostile_words_are_shown_as_text(cast: Cast, flag: Flag) -> None:
    answer(cast, "vet", flag, words="<script>alert(1)</script>")
    page = text_of(Door(cast.owner, cast.case).get("flag", flag.public_id))
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page


def test_an_answered_urgent_flag_is_no_longer_shown_as_urgent(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner), now, "in_sole")
    door = Door(cast.owner, cast.case)
    assert "Now: call your vet" in text_of(door.get("flag", flag.public_id))
    flag_answer(access=cast.access(cast.vet), flag_id=flag.public_id, words="Pulled it.", now=now)
    page = text_of(door.get("flag", flag.public_id))
    assert "Now: call your vet" not in page
    assert "was urgent" in page


def test_a_flag_of_a_closed_case_says_so_and_takes_no_answer(cast: Cast, now: datetime) -> None:
    flag = build.flag(cast.access(cast.owner), now)
    shut(cast.case, now)
    door = Door(cast.vet, cast.case)
    page = text_of(door.get("flag", flag.public_id))
    assert "when the case was closed" in page
    assert "Still open." not in page
    refused = door.post("flag", flag.public_id, words="Late.", kind="answered")
    assert refused.status_code == 403
    assert "This case is closed" in text_of(refused)
    assert "Not for your role" not in text_of(refused)
