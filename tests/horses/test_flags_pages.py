"""Saying that something is not right, the answers of the others, and who reads their words."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse

from horses.models import Flag, FlagAnswer, IdempotencyKey, Note
from horses.services.flags import flag_answer
from horses.services.notes import note_write
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, last_line, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")

TEAM = "owner,farrier,vet,carer"


@pytest.fixture
def flag(cast: Cast, now: datetime) -> Flag:
    return build.flag(cast.access(cast.owner), now, "heat", words="Warm since yesterday.")


@pytest.fixture
def urgent(cast: Cast, now: datetime) -> Flag:
    return build.flag(cast.access(cast.owner), now, "in_sole")


# -- raising one


def test_urgent_signs_stand_first_with_the_number_to_ring(cast: Cast) -> None:
    page = text_of(Door(cast.owner, cast.case).get("flag_new"))
    assert page.index("Any of these: phone your vet now") < page.index("Short stride")
    assert page.index('href="tel:0100999"') < page.index("Nail, wire or other sharp thing")


def test_the_form_says_who_will_read_it(cast: Cast) -> None:
    page = text_of(Door(cast.owner, cast.case).get("flag_new"))
    assert "Vera Vet (vet)" in page
    assert "Ola Owner (owner)" not in page  # that is who writes


def test_a_flag_is_written_down_with_all_that_was_said(cast: Cast, now: datetime) -> None:
    response = Door(cast.owner, cast.case).post(
        "flag_new",
        signs=["heat", "pulse"],
        feet=["LF"],
        since="yesterday",
        words="Warm.",
        client_key="one",
    )
    flag = Flag.objects.get()
    assert response.status_code == 302
    assert response["Location"] == f"/cases/{cast.case.public_id}/"
    assert (flag.signs, flag.feet, flag.words) == (["heat", "pulse"], ["LF"], "Warm.")
    assert flag.since_on == now.date() - timedelta(days=1)
    assert flag.urgency == "today"


def test_a_flag_is_in_the_history_and_everyone_else_is_told(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", signs=["heat"], feet=["LF"])
    assert "flag.raised" in verbs(cast.case)
    names = told(cast.case, "flag.raised")
    assert names == {"Vera Vet", "Finn Farrier", "Stina Standin", "Cara Carer"}


def test_an_urgent_sign_is_answered_at_once_with_the_number_and_advice(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    response = door.post("flag_new", urgent_signs=["in_sole"], feet=["RH"])
    flag = Flag.objects.get()
    assert response["Location"] == door.address("flag", flag.public_id)
    page = text_of(door.client.get(response["Location"]))
    assert "Call your vet now" in page
    assert 'href="tel:0100999"' in page  # the horse's emergency vet
    assert 'href="tel:0100200302"' in page  # the vet on the team
    assert "Do not pull it out." in page
    assert "This does not reach your vet by itself: phone." in page
    assert "I have phoned: write down what the vet said" in page


def test_signs_that_are_urgent_together_are_urgent(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    response = door.post("flag_new", signs=["heat", "pulse", "reluctant_turn"])
    assert "Call your vet now" in text_of(door.client.get(response["Location"]))


def test_without_any_number_the_page_still_says_whom_to_ring(cast: Cast) -> None:
    cast.horse.emergency_vet_phone = cast.vet.phone = ""
    cast.horse.save()
    cast.vet.save()
    page = text_of(Door(cast.owner, cast.case).get("flag_new"))
    assert "Ring the practice you use" in page


def test_a_carer_may_flag(cast: Cast) -> None:
    assert Door(cast.carer, cast.case).post("flag_new", signs=["lame"]).status_code == 302


def test_only_words_are_enough(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", words="Odd.")
    assert Flag.objects.get().signs == ["other"]


def test_not_sure_which_foot_is_kept_as_no_foot(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", signs=["lame"], feet=["unsure"])
    assert Flag.objects.get().feet == []


def test_a_day_counts_without_ticking_another_day(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", signs=["lame"], since_day="2026-10-30")
    assert Flag.objects.get().since_on == date(2026, 10, 30)


def test_an_empty_form_comes_back_and_says_what_is_missing(cast: Cast) -> None:
    response = Door(cast.owner, cast.case).post("flag_new")
    assert response.status_code == 422
    assert "Tick at least one sign" in text_of(response)
    assert not Flag.objects.exists()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"since_day": "2026-11-03", "since": "day"}, "still to come"),
        ({"since_day": "0001-01-01"}, "very long ago"),
        ({"since_day": "9999-12-31"}, "still to come"),
        ({"since_day": "soon"}, "not a day"),
        ({"since_day": "\x00"}, "not a day"),
        ({"since": "day"}, "Choose the day"),
        ({"since": "later"}, "Choose today, yesterday"),
        ({"signs": ["glowing"]}, "not on it"),
        ({"urgent_signs": ["heat"]}, "not on it"),
        ({"feet": ["LF", "tail"]}, "four feet"),
        ({"words": "x" * 5001}, "5,001 characters"),
        ({"client_key": "k" * 65}, "64 characters"),
    ],
)
def test_what_cannot_be_read_is_said_beside_the_field_and_nothing_is_lost(
    cast: Cast, fields: dict[str, object], words: str
) -> None:
    sent: dict[str, Any] = {"signs": ["heat"], "words": "My own words", **fields}
    response = Door(cast.owner, cast.case).post("flag_new", **sent)
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert str(sent["words"]) in page
    assert not Flag.objects.exists()


def test_a_form_that_is_not_accepted_still_says_call_now_for_an_urgent_sign(cast: Cast) -> None:
    response = Door(cast.owner, cast.case).post(
        "flag_new", urgent_signs=["no_weight"], since_day="soon"
    )
    page = text_of(response)
    assert response.status_code == 422
    assert '<section class="call-now" data-call-now>' in page
    assert '<li data-for="no_weight">Do not make the horse walk.</li>' in page
    assert '<li data-for="in_sole" hidden>' in page


def test_control_characters_are_left_out_of_the_words(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", words="Warm\x00 \u202ehoof")
    assert Flag.objects.get().words == "Warm hoof"


def test_the_same_form_sent_twice_is_one_flag(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    for _ in range(2):
        door.post("flag_new", signs=["heat"], words="Once.", client_key="again")
    assert Flag.objects.count() == 1


def test_the_same_key_with_other_words_comes_back_with_what_was_typed(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    door.post("flag_new", signs=["heat"], words="First.", client_key="same")
    response = door.post("flag_new", signs=["heat"], words="Second.", client_key="same")
    page = text_of(response)
    assert response.status_code == 409
    assert "Second." in page
    assert 'value="same"' not in page  # sent once more it is a form of its own
    assert Flag.objects.count() == 1


def test_a_stranger_learns_nothing(cast: Cast, flag: Flag) -> None:
    door = Door(cast.stranger, cast.case)
    assert door.get("flag_new").status_code == 404
    assert door.post("flag_new", signs=["heat"]).status_code == 404
    assert door.get("flag", flag.public_id).status_code == 404
    assert door.post("flag", flag.public_id, words="Hello").status_code == 404


def test_a_removed_member_gets_404(cast: Cast, flag: Flag) -> None:
    assert Door(cast.removed, cast.case).get("flag", flag.public_id).status_code == 404


def test_nobody_signed_in_is_sent_to_sign_in(cast: Cast) -> None:
    response = Door(None, cast.case).get("flag_new")
    assert response.status_code == 302
    assert "login" in response["Location"]


def test_other_methods_are_refused(cast: Cast, flag: Flag) -> None:
    door = Door(cast.owner, cast.case)
    assert door.client.put(door.address("flag_new")).status_code == 405
    assert door.client.delete(door.address("flag", flag.public_id)).status_code == 405


def test_a_closed_case_takes_no_flag_and_shows_no_forms(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner, cast.concern)
    flag = build.flag(access, now, "heat")
    shut(cast.concern, now)
    door = Door(cast.owner, cast.concern)
    assert door.get("flag_new").status_code == 403
    assert "<textarea" not in text_of(door.get("flag", flag.public_id))
    assert door.post("flag", flag.public_id, kind="answered", words="x").status_code == 403


# -- the page of one flag


def test_the_page_shows_what_was_said_in_words(cast: Cast, flag: Flag) -> None:
    page = text_of(Door(cast.vet, cast.case).get("flag", flag.public_id))
    assert "One foot warmer than the others" in page
    assert "Left fore" in page
    assert "Warm since yesterday." in page
    assert "Ola Owner" in page
    assert "Today" in page


def test_the_feet_are_named_in_the_words_the_person_chose(cast: Cast, flag: Flag) -> None:
    cast.vet.side_words = "near_off"
    cast.vet.save()
    assert "Near fore" in text_of(Door(cast.vet, cast.case).get("flag", flag.public_id))


def test_the_page_says_that_it_is_open_and_who_closes_it(cast: Cast, flag: Flag) -> None:
    page = text_of(Door(cast.owner, cast.case).get("flag", flag.public_id))
    assert "Still open. An answer from the farrier or vet that the owner reads closes it." in page


def test_an_urgent_one_is_closed_only_by_a_vet_or_the_phone_call(cast: Cast, urgent: Flag) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("flag", urgent.public_id))
    assert "Only a vet&#x27;s answer closes it" in page
    assert "Call your vet now" in page


def test_the_vet_is_not_told_to_call_a_vet(cast: Cast, urgent: Flag) -> None:
    assert 'class="call"' not in text_of(Door(cast.vet, cast.case).get("flag", urgent.public_id))


def test_a_flag_of_another_case_is_not_found(cast: Cast, flag: Flag) -> None:
    assert Door(cast.owner, cast.concern).get("flag", flag.public_id).status_code == 404


def test_an_unknown_flag_is_not_found(cast: Cast) -> None:
    assert Door(cast.owner, cast.case).get("flag", "nosuchflag").status_code == 404


# -- answers


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


# -- photos, as the form takes them (the pages of a photo: test_photo_pages.py)


def test_too_many_forms_with_photos_keep_the_words_and_say_to_send_without(
    cast: Cast, now: datetime, settings: Any
) -> None:
    settings.LIMIT_PHOTO_FORMS = 0
    cache.clear()
    file = SimpleUploadedFile("a.jpg", b"x")
    response = Door(cast.owner, cast.case).post(
        "flag_new", signs=["heat"], words="Kept words", photos=file
    )
    page = text_of(response)
    assert response.status_code == 429
    assert int(response["Retry-After"]) > 0
    assert "Kept words" in page
    assert "without photos now" in page
    assert not IdempotencyKey.objects.exists()


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
